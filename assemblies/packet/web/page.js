'use strict';
// The three-dimensional view: turn, zoom, take apart, pick. Everything it shows comes from the report in the page.
(() => {
  const read = (id) => JSON.parse(document.getElementById(id).textContent);
  const report = read('report-data');
  const rows = [...document.querySelectorAll('tr[data-about]')];
  const said = document.getElementById('said');
  const slider = document.getElementById('apart');
  const stage = document.getElementById('stage');
  const chips = [...document.querySelectorAll('button[data-name]')];
  const T = window.three3d;
  let picked = null;
  const yUp = (v) => new T.Vector3(v[0], v[2], -v[1]).multiplyScalar(0.001); // mm, z up -> m, y up

  let renderer;
  try {
    renderer = new T.WebGLRenderer({ antialias: true, alpha: true });
  } catch {
    return; // no WebGL: the drawn picture stays
  }
  document.documentElement.classList.add('live');
  stage.append(renderer.domElement);
  const canvas = renderer.domElement;
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'img');
  canvas.setAttribute('aria-label', 'Model of the whole thing. Arrow keys turn it, plus and minus zoom.');
  const scene = new T.Scene();
  const camera = new T.PerspectiveCamera(32, 1, 0.001, 100);
  const controls = new T.OrbitControls(camera, canvas);
  controls.enableDamping = false;
  scene.add(new T.AmbientLight(0xffffff, 2.2));
  const lamp = new T.DirectionalLight(0xffffff, 1.6);
  lamp.position.set(1, 2, 1.5);
  scene.add(lamp);

  const pieces = new Map(); // name -> { node, home, way, lines, meshes }
  const ways = new Map(report.assembly.map((a) => [a.name, yUp(a.direction.map((d) => d * a.distance))]));
  const bytes = Uint8Array.from(atob(document.getElementById('model-data').textContent.trim()), (c) => c.charCodeAt(0));

  new T.GLTFLoader().parse(bytes.buffer, '', (gltf) => {
    scene.add(gltf.scene);
    for (const placed of report.placed) {
      const node = gltf.scene.getObjectByName(placed.name);
      if (!node) continue;
      const meshes = [];
      node.traverse((n) => { if (n.isMesh) meshes.push(n); });
      const lines = meshes.map((mesh) => {
        mesh.material = mesh.material.clone();
        mesh.material.depthWrite = false;
        const edge = new T.LineSegments(new T.EdgesGeometry(mesh.geometry, 25), new T.LineBasicMaterial({ color: edgeColour() }));
        mesh.add(edge);
        return edge;
      });
      meshes.forEach((m) => { m.userData.name = placed.name; });
      pieces.set(placed.name, { node, home: node.position.clone(), way: ways.get(placed.name) || new T.Vector3(), meshes, lines });
    }
    addFlags();
    frame();
    apart();
    window.packet = { positions, select, setApart: (t) => { slider.value = 100 * t; apart(); }, ready: true, pickAt };
  }, () => document.documentElement.classList.remove('live'));

  function edgeColour() {
    return matchMedia('(prefers-color-scheme: dark)').matches ? 0xbfe3ee : 0x16424f;
  }

  function positions() {
    return Object.fromEntries([...pieces].map(([name, p]) => [name, p.node.position.clone().sub(p.home).toArray()]));
  }

  function frame() {
    const t = slider.value;
    for (const p of pieces.values()) p.node.position.copy(p.home).add(p.way);
    const box = new T.Box3().setFromObject(scene);
    slider.value = t;
    const centre = box.getCenter(new T.Vector3());
    const radius = box.getSize(new T.Vector3()).length() / 2;
    const narrow = Math.min(1, camera.aspect);
    const far = radius / Math.sin((camera.fov * Math.PI) / 360) / narrow;
    camera.position.copy(centre).add(new T.Vector3(-0.55, 0.62, 0.85).normalize().multiplyScalar(far * 0.78));
    camera.near = far / 100;
    camera.far = far * 10;
    camera.updateProjectionMatrix();
    controls.target.copy(centre);
    controls.update();
  }

  function apart() {
    const t = slider.value / 100;
    for (const p of pieces.values()) p.node.position.copy(p.home).addScaledVector(p.way, t);
    slider.setAttribute('aria-valuetext', t === 0 ? 'assembled' : t === 1 ? 'apart' : `${slider.value} % apart`);
    draw();
  }

  // --- seams that do not seal and pieces that do not go in ---
  const flags = [];
  function addFlags() {
    for (const s of report.fit.seams) {
      if (s.seals === 'ok' && s.goes_in) continue;
      const label = document.createElement('div');
      label.className = `flag ${s.seals === 'stop' || !s.goes_in ? 'stop' : 'care'}`;
      label.textContent = `${s.id}: ${s.goes_in ? '' : 'does not go in, '}gap to ${s.gap.max.toFixed(2)} mm`;
      stage.append(label);
      flags.push({ label, at: yUp(s.centre), piece: pieces.get(s.b) });
    }
  }

  function draw() {
    renderer.render(scene, camera);
    const box = canvas.getBoundingClientRect();
    for (const f of flags) {
      const p = f.at.clone();
      if (f.piece) p.add(f.piece.node.position).sub(f.piece.home);
      p.project(camera);
      f.label.style.left = `${((p.x + 1) / 2) * box.width}px`;
      f.label.style.top = `${((1 - p.y) / 2) * box.height}px`;
      f.label.hidden = p.z > 1;
    }
  }

  function select(name) {
    picked = picked === name ? null : name;
    for (const [n, p] of pieces) {
      for (const m of p.meshes) {
        if (m.material.emissive) m.material.emissive.setHex(n === picked ? 0x0b6178 : 0);
        if (m.material.userData.opacity === undefined) m.material.userData.opacity = m.material.opacity;
        m.material.opacity = n === picked ? Math.max(0.75, m.material.userData.opacity) : m.material.userData.opacity;
      }
    }
    for (const row of rows) row.classList.toggle('picked', picked !== null && row.dataset.about.split(' ').includes(picked));
    for (const c of chips) c.setAttribute('aria-pressed', String(c.dataset.name === picked));
    said.textContent = picked === null ? '' : words(picked);
    draw();
  }

  function words(name) {
    const placed = report.placed.find((p) => p.name === name);
    const part = report.parts.find((p) => p.part === placed.part);
    const seams = report.fit.seams.filter((s) => s.a === name || s.b === name).map((s) => s.id);
    const size = part.size.map((v) => +v.toFixed(2)).join(' × ');
    return `${name}: part ${part.part}, ${size} mm, ${part.mass.toFixed(3)} kg. Seams: ${seams.join(', ') || 'none'}.`;
  }

  const ray = new T.Raycaster();
  function pickAt(x, y) {
    const box = canvas.getBoundingClientRect();
    ray.setFromCamera(new T.Vector2(((x - box.left) / box.width) * 2 - 1, 1 - ((y - box.top) / box.height) * 2), camera);
    const hits = ray.intersectObjects([...pieces.values()].flatMap((p) => p.meshes), false);
    return hits.length ? hits[0].object.userData.name : null;
  }

  let down = null;
  canvas.addEventListener('pointerdown', (e) => { down = [e.clientX, e.clientY]; });
  canvas.addEventListener('pointerup', (e) => {
    if (!down || Math.hypot(e.clientX - down[0], e.clientY - down[1]) > 4) return;
    const name = pickAt(e.clientX, e.clientY);
    if (name) select(name);
  });
  canvas.addEventListener('keydown', (e) => {
    const turn = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, -0.12], ArrowDown: [0, 0.12] }[e.key];
    const zoom = { '+': 0.88, '=': 0.88, '-': 1.14 }[e.key];
    if (!turn && !zoom) return;
    e.preventDefault();
    const v = camera.position.clone().sub(controls.target);
    const r = v.length() * (zoom || 1);
    const a = Math.atan2(v.x, v.z) + (turn ? turn[0] : 0);
    const b = Math.min(3.0, Math.max(0.15, Math.acos(v.y / v.length()) + (turn ? turn[1] : 0)));
    camera.position.copy(controls.target).add(new T.Vector3(r * Math.sin(b) * Math.sin(a), r * Math.cos(b), r * Math.sin(b) * Math.cos(a)));
    controls.update();
    draw();
  });
  for (const c of chips) c.addEventListener('click', () => select(c.dataset.name));
  slider.addEventListener('input', apart);
  document.getElementById('whole').addEventListener('click', () => { frame(); apart(); });
  controls.addEventListener('change', draw);
  new ResizeObserver(() => {
    const { clientWidth: w, clientHeight: h } = stage;
    if (!w || !h) return;
    renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    renderer.setSize(w, h, false);
    const first = camera.aspect === 1;
    camera.aspect = w / h;
    camera.updateProjectionMatrix();
    if (first && pieces.size) frame();
    apart();
  }).observe(stage);
})();
