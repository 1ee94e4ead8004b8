'use strict';
// The view: turn, zoom, take apart, pick. What it shows and says comes from the page's own data; nothing is fetched.
(() => {
  const find = (id) => document.getElementById(id);
  for (const region of document.querySelectorAll('.scroll')) {
    new ResizeObserver(() => { // what is wider than the screen can be reached and scrolled by key
      const wide = region.scrollWidth > region.clientWidth;
      for (const [name, value] of [['tabindex', '0'], ['role', 'region'], ['aria-label', region.dataset.label || 'Table']]) {
        if (wide) region.setAttribute(name, value);
        else region.removeAttribute(name);
      }
    }).observe(region);
  }
  if (!document.createElement('canvas').getContext('webgl2')) return; // the drawn picture stands in

  const T = window.three3d;
  const data = JSON.parse(find('view-data').textContent);
  const stage = find('stage'), slider = find('apart'), said = find('said');
  const chips = [...document.querySelectorAll('button[data-name]')];
  const abouts = [...document.querySelectorAll('[data-about]')].map((node) => [node, node.dataset.about.split(' ')]);
  const drawn = [...document.querySelectorAll('svg [data-name]')];
  const dark = matchMedia('(prefers-color-scheme: dark)');
  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();

  const renderer = new T.WebGLRenderer({ antialias: true, alpha: true });
  document.documentElement.classList.add('live');
  const canvas = renderer.domElement;
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'img');
  canvas.setAttribute('aria-label', 'Model of the whole thing. Arrow keys turn it, plus and minus zoom, escape picks nothing.');
  stage.append(canvas);
  const scene = new T.Scene(), camera = new T.PerspectiveCamera(30, 1, 0.001, 100);
  const controls = new T.OrbitControls(camera, canvas);
  controls.enableZoom = false; // the wheel scrolls the page until the view has the focus
  canvas.style.touchAction = 'pan-y'; // and so does a finger that moves up or down
  const lamp = new T.DirectionalLight(0xffffff, 1.6);
  lamp.position.set(1, 2, 1.5);
  scene.add(new T.AmbientLight(0xffffff, 2.2), lamp);

  const pieces = new Map(); // name -> { node, home, way, box, meshes, edges }
  const flags = []; // what does not fit: { label, at, name }
  const patches = []; // seams: { mesh, name, a, b, level }
  let picked = null;

  const bytes = Uint8Array.from(atob(find('model-data').textContent.trim()), (c) => c.charCodeAt(0));
  new T.GLTFLoader().parse(bytes.buffer, '', build, () => document.documentElement.classList.remove('live'));

  function build(gltf) {
    scene.add(gltf.scene);
    gltf.scene.updateMatrixWorld(true);
    for (const { name, offset } of data.pieces) addPiece(gltf.scene.getObjectByName(name), name, new T.Vector3(...offset));
    for (const seam of data.seams) addPatches(seam);
    for (const mark of data.marks) addFlag(mark);
    paint();
    resize();
    const middle = () => pieces.values().next().value.box.getCenter(new T.Vector3());
    window.packet = { positions, pickAt, screenAt, middle, picked: () => picked, ready: true }; // for tests
  }

  function addPiece(node, name, way) {
    const meshes = [], edges = [];
    const box = new T.Box3().setFromObject(node);
    node.traverse((n) => { if (n.isMesh) meshes.push(n); });
    for (const mesh of meshes) {
      mesh.material = mesh.material.clone();
      mesh.material.depthWrite = false; // clear sheet hides nothing
      mesh.userData = { name, opacity: mesh.material.opacity };
      const edge = new T.LineSegments(new T.EdgesGeometry(mesh.geometry, 25), new T.LineBasicMaterial());
      mesh.add(edge);
      edges.push(edge);
    }
    pieces.set(name, { node, home: node.position.clone(), way, box, meshes, edges });
  }

  // The face in which two pieces meet, on each of them; shown when one is picked, and always when it does not seal.
  function addPatches({ a, b, at, level }) {
    const one = pieces.get(a), two = pieces.get(b);
    if (!one || !two) return;
    const shared = one.box.clone().intersect(two.box), least = 0.0008;
    const middle = new T.Vector3(...at), size = new T.Vector3();
    if (!shared.isEmpty()) shared.getSize(size);
    const flat = Math.min(size.x, size.y, size.z) < 0.002 && size.length() > 0;
    if (flat) shared.getCenter(middle);
    else size.setScalar(4 * least); // not along the axes: a dot at the seam's middle
    const box = new T.BoxGeometry(Math.max(size.x, least), Math.max(size.y, least), Math.max(size.z, least));
    for (const name of [a, b]) {
      const mesh = new T.Mesh(box, new T.MeshBasicMaterial({ transparent: true, opacity: 0.85 }));
      mesh.renderOrder = 2;
      scene.add(mesh);
      patches.push({ mesh, name, a, b, level, home: middle });
    }
  }

  function addFlag({ level, id, short, at, pieces: names }) {
    const label = document.createElement('div');
    label.className = `flag ${level}`;
    label.innerHTML = '<b></b><span></span>';
    label.firstChild.textContent = id;
    label.lastChild.textContent = ` ${short}`;
    stage.append(label);
    flags.push({ label, at: new T.Vector3(...at), name: names[names.length - 1] });
  }

  const shift = (name) => pieces.get(name).way.clone().multiplyScalar(slider.value / 100);
  const positions = () => Object.fromEntries([...pieces].map(([n, p]) => [n, p.node.position.clone().sub(p.home).toArray()]));

  function apart() {
    for (const [name, p] of pieces) p.node.position.copy(p.home).add(shift(name));
    for (const p of patches) p.mesh.position.copy(p.home).add(shift(p.name));
    slider.setAttribute('aria-valuetext', { 0: 'assembled', 100: 'apart' }[slider.value] || `${slider.value} % apart`);
    draw();
  }

  // Stand so that all of it is seen, assembled and apart.
  function frame() {
    const points = [];
    for (const { box, way } of pieces.values()) {
      for (let k = 0; k < 16; k += 1) {
        const end = (bit) => (k & bit ? 'max' : 'min');
        const point = new T.Vector3(box[end(1)].x, box[end(2)].y, box[end(4)].z);
        points.push(k & 8 ? point.add(way) : point);
      }
    }
    const towards = new T.Vector3(1, 0.85, 1.1).normalize(); // right, above, front: as the drawn picture looks at it
    const right = new T.Vector3(0, 1, 0).cross(towards).normalize(), up = towards.clone().cross(right);
    const centre = new T.Box3().setFromPoints(points).getCenter(new T.Vector3());
    const high = Math.tan((camera.fov * Math.PI) / 360) * 0.93, wide = high * camera.aspect;
    let far = 0;
    for (let pass = 0; pass < 4; pass += 1) {
      const seen = points.map((p) => p.clone().sub(centre)).map((v) => [v.dot(right), v.dot(up), v.dot(towards)]);
      far = Math.max(...seen.map(([x, y, z]) => z + Math.max(Math.abs(x) / wide, Math.abs(y) / high)));
      const xs = seen.map(([x, , z]) => x / (far - z)), ys = seen.map(([, y, z]) => y / (far - z));
      centre.addScaledVector(right, ((Math.max(...xs) + Math.min(...xs)) / 2) * far);
      centre.addScaledVector(up, ((Math.max(...ys) + Math.min(...ys)) / 2) * far);
    }
    camera.near = far / 100;
    camera.far = far * 20;
    camera.updateProjectionMatrix();
    camera.position.copy(centre).addScaledVector(towards, far);
    controls.minDistance = far / 20;
    controls.maxDistance = far * 5;
    controls.target.copy(centre);
    controls.update();
  }

  function screenAt(point) {
    const p = point.clone().project(camera);
    return { x: ((p.x + 1) / 2) * canvas.clientWidth, y: ((1 - p.y) / 2) * canvas.clientHeight, hidden: p.z > 1 };
  }

  function draw() {
    renderer.render(scene, camera);
    const stood = [];
    for (const { label, at, name } of flags) {
      const { x, y, hidden } = screenAt(at.clone().add(shift(name)));
      label.hidden = hidden;
      if (!hidden) stood.push({ label, x, y: y - 0.8 * label.offsetHeight, wide: label.offsetWidth + 4, high: label.offsetHeight + 4 });
    }
    spread(stood);
    for (const { label, x, y } of stood) {
      label.style.left = `${x}px`;
      label.style.top = `${y}px`;
    }
  }

  // From the top down, each label goes to the nearest free place in its column; x and y are its middle.
  function spread(labels) {
    const done = [];
    for (const one of labels.sort((a, b) => a.y - b.y)) {
      const inside = (v, size, whole) => Math.max(size / 2, Math.min(v, whole - size / 2));
      one.x = inside(one.x, one.wide, canvas.clientWidth);
      const near = done.filter((d) => Math.abs(d.x - one.x) < (d.wide + one.wide) / 2);
      const free = (y) => y === inside(y, one.high, canvas.clientHeight) && near.every((d) => Math.abs(d.y - y) > (d.high + one.high) / 2 - 0.01);
      const want = inside(one.y, one.high, canvas.clientHeight);
      const places = [want, ...near.flatMap((d) => [d.y - (d.high + one.high) / 2, d.y + (d.high + one.high) / 2])].filter(free);
      one.y = places.length ? places.reduce((a, b) => (Math.abs(b - want) < Math.abs(a - want) ? b : a)) : want;
      done.push(one);
    }
  }

  function paint() {
    const bad = new Set(data.marks.filter((m) => m.level === 'stop').flatMap((m) => m.red));
    const ink = new T.Color(dark.matches ? 0xbfe3ee : 0x16424f), accent = colour('accent');
    for (const [name, p] of pieces) {
      for (const { material, userData } of p.meshes) {
        material.emissive.set(name === picked ? '#0b6178' : bad.has(name) ? '#7a1010' : '#000000');
        material.opacity = name === picked ? Math.max(0.7, userData.opacity) : userData.opacity;
      }
      for (const edge of p.edges) edge.material.color.set(bad.has(name) ? colour('stop') : name === picked ? accent : ink);
    }
    for (const p of patches) {
      const near = picked !== null && (p.a === picked || p.b === picked);
      p.mesh.visible = near || p.level !== 'ok';
      p.mesh.material.color.set(p.level === 'ok' ? accent : colour(p.level));
    }
  }

  function select(name) {
    picked = picked === name ? null : name;
    paint();
    for (const [node, names] of abouts) node.classList.toggle('picked', names.includes(picked));
    for (const line of drawn) line.classList.toggle('picked', line.dataset.name === picked);
    for (const chip of chips) chip.setAttribute('aria-pressed', String(chip.dataset.name === picked));
    said.textContent = picked === null ? '' : data.pieces.find((p) => p.name === picked).text;
    draw();
  }

  const ray = new T.Raycaster();
  function pickAt(x, y) {
    const box = canvas.getBoundingClientRect();
    ray.setFromCamera(new T.Vector2(((x - box.left) / box.width) * 2 - 1, 1 - ((y - box.top) / box.height) * 2), camera);
    const hits = ray.intersectObjects([...pieces.values()].flatMap((p) => p.meshes), false);
    return hits.length ? hits[0].object.userData.name : null;
  }

  // Turn about the upright by `side`, tip by `tip` (rad), and go nearer by `factor`.
  function turn(side, tip, factor) {
    const v = camera.position.clone().sub(controls.target);
    const far = Math.min(Math.max(v.length() * factor, controls.minDistance), controls.maxDistance);
    const about = Math.atan2(v.x, v.z) + side, down = Math.min(3.0, Math.max(0.1, Math.acos(v.y / v.length()) + tip));
    const flat = far * Math.sin(down);
    camera.position.copy(controls.target).add(new T.Vector3(flat * Math.sin(about), far * Math.cos(down), flat * Math.cos(about)));
    controls.update();
    draw();
  }

  const KEYS = {
    ArrowLeft: [-0.12, 0, 1], ArrowRight: [0.12, 0, 1], ArrowUp: [0, -0.12, 1], ArrowDown: [0, 0.12, 1],
    '+': [0, 0, 0.88], '=': [0, 0, 0.88], '-': [0, 0, 1 / 0.88],
  };
  canvas.addEventListener('keydown', (e) => {
    if (!KEYS[e.key] || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    turn(...KEYS[e.key]);
  });
  document.addEventListener('keydown', (e) => { if (e.key === 'Escape' && picked !== null) select(picked); });
  canvas.addEventListener('focus', () => { controls.enableZoom = true; });
  canvas.addEventListener('blur', () => { controls.enableZoom = false; });
  let down = null;
  canvas.addEventListener('pointerdown', (e) => { down = [e.clientX, e.clientY]; canvas.focus({ preventScroll: true }); });
  canvas.addEventListener('pointerup', (e) => {
    if (!down || Math.hypot(e.clientX - down[0], e.clientY - down[1]) > 4) return;
    const name = pickAt(e.clientX, e.clientY);
    if (name) select(name);
  });
  document.addEventListener('click', (e) => {
    const line = e.target.closest('svg [data-name]'), row = e.target.closest('tr[data-about]');
    const name = line ? line.dataset.name : row && row.dataset.about.split(' ')[0];
    if (name && pieces.has(name) && !String(getSelection())) select(name);
  });
  for (const chip of chips) chip.addEventListener('click', () => select(chip.dataset.name));
  slider.addEventListener('input', apart);
  find('whole').addEventListener('click', () => { frame(); draw(); });
  find('nearer').addEventListener('click', () => turn(0, 0, 0.8));
  find('farther').addEventListener('click', () => turn(0, 0, 1.25));
  controls.addEventListener('change', draw);
  dark.addEventListener('change', () => { paint(); draw(); });

  let framed = false;
  function resize() {
    const { clientWidth: w, clientHeight: h } = stage;
    if (!w || !h || !pieces.size) return;
    renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    renderer.setSize(w, h, false);
    const turned = Math.abs(camera.aspect - w / h) > 0.2;
    camera.aspect = w / h;
    camera.updateProjectionMatrix();
    if (!framed || turned) frame();
    framed = true;
    apart();
  }
  new ResizeObserver(resize).observe(stage);
})();
