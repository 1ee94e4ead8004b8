// The view: turn, zoom, take apart, pick, play. What it shows and says comes from the page's own data; nothing is fetched.
(() => {
  const find = (id) => document.getElementById(id);
  for (const region of document.querySelectorAll('.scroll')) {
    new ResizeObserver(() => { // what is wider than the screen can be reached and scrolled by key
      const wide = region.scrollWidth > region.clientWidth;
      for (const [name, value] of [['tabindex', '0'], ['role', 'region'], ['aria-label', `${region.dataset.label || 'Table'}, wider than the screen`]]) {
        if (wide) region.setAttribute(name, value);
        else region.removeAttribute(name);
      }
    }).observe(region);
  }
  if (!window.DecompressionStream || !document.createElement('canvas').getContext('webgl2')) return; // the drawn picture stands in

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
  const scene = new T.Scene(), rig = new T.Group(), camera = new T.PerspectiveCamera(26, 1, 0.001, 100);
  const controls = new T.OrbitControls(camera, canvas);
  controls.enableZoom = false; // the wheel scrolls the page until the view has the focus
  canvas.style.touchAction = 'pan-y'; // and so does a finger that moves up or down
  const lamp = new T.DirectionalLight(0xffffff, 2.0);
  lamp.position.set(0.6, 2, 1.4); // tops light, fronts less, sides least: three shades of a box
  scene.add(new T.HemisphereLight(0xffffff, 0xc4d2da, 2.2), lamp, rig);

  const pieces = new Map(); // name -> { node, home, stand, way, box, meshes, edges }
  const bodies = []; // what is bought: { mesh, home, way, edge }
  const track = new T.LineSegments(new T.BufferGeometry(), new T.LineBasicMaterial());
  scene.add(track);
  const pool = data.pool && { ...data.pool, room: opened(data.pool.room) };
  const moves = data.plays.map(opened);
  let water = null, move = null, time = 0; // what is played, and how far
  const flags = []; // what does not fit: { label, at, name }
  const patches = []; // seams: { mesh, name, a, b, level }
  let picked = null, near = false; // the piece; whether one has come nearer or gone farther by hand
  const LOOK = new T.Vector3(...data.from).normalize(); // as the rendered picture looks at it

  const packed = new Blob([liquid.bytes(find('model-data').textContent.trim())]).stream().pipeThrough(new DecompressionStream('deflate'));
  const without = () => document.documentElement.classList.remove('live');
  new Response(packed).arrayBuffer().then((bytes) => new T.GLTFLoader().parse(bytes, '', build, without), without);

  // Its packed arrays as arrays.
  function opened(packed) {
    const read = { points: liquid.floats, triangles: liquid.numbers };
    if (packed.points) return Object.fromEntries(Object.entries(packed).map(([key, text]) => [key, read[key](text)]));
    const wave = packed.ripple && { ...packed.ripple };
    if (wave) for (const key of ['places', 'shapes', 'heights']) wave[key] = liquid.floats(wave[key]);
    if (wave) wave.triangles = liquid.numbers(wave.triangles);
    return { ...packed, ripple: wave };
  }

  function build(gltf) {
    rig.add(gltf.scene);
    gltf.scene.updateMatrixWorld(true);
    for (const { name, offset } of data.pieces) addPiece(gltf.scene.getObjectByName(name), name, new T.Vector3(...offset));
    for (const seam of data.seams) addPatches(seam);
    for (const mark of data.marks) addFlag(mark);
    const shapes = data.shapes.map(opened).map(solid);
    for (const body of data.bodies) addBody(body, shapes[body.shape]);
    if (pool) water = addWater();
    choose(find('what') ? find('what').value : '');
    paint();
    resize();
    const middle = () => pieces.values().next().value.box.getCenter(new T.Vector3());
    window.packet = { positions, pickAt, screenAt, middle, picked: () => picked, ready: true, state, seek }; // for tests
  }

  function addPiece(node, name, way) {
    const meshes = [], edges = [];
    const box = new T.Box3().setFromObject(node);
    node.traverse((n) => { if (n.isMesh) meshes.push(n); });
    for (const mesh of meshes) {
      mesh.userData = { name };
      const { geometry, material } = mesh;
      sorted(geometry);
      mesh.material = [sheet(material, 0.5, 0), sheet(material, 1, 0.35)]; // faces one sees through, cut edges that glow
      const edge = new T.LineSegments(new T.EdgesGeometry(geometry, 25), new T.LineBasicMaterial());
      mesh.add(edge);
      edges.push(edge);
    }
    pieces.set(name, { node, home: node.position.clone(), stand: node.quaternion.clone(), way, box, meshes, edges });
  }

  // Triangles of both faces first, then those of edges and holes; a piece's own z is square to its faces.
  function sorted(geometry) {
    if (geometry.groups.length) return;
    const normals = geometry.getAttribute('normal'), index = geometry.getIndex().array, faces = [], walls = [];
    for (let k = 0; k < index.length; k += 3) (Math.abs(normals.getZ(index[k])) > 0.9 ? faces : walls).push(index[k], index[k + 1], index[k + 2]);
    geometry.setIndex([...faces, ...walls]);
    geometry.addGroup(0, faces.length, 0);
    geometry.addGroup(faces.length, walls.length, 1);
  }

  // Clear sheet hides nothing; seen flatly it is denser, which makes a sheet of it.
  function sheet(from, share, glow) {
    const made = new T.MeshLambertMaterial({ color: from.color, transparent: true, depthWrite: false, side: T.DoubleSide, forceSinglePass: true });
    if (glow) { // light that is led to a cut edge comes out coloured
      made.color.convertLinearToSRGB();
      made.color.setRGB(...made.color.toArray().map((c) => 0.9 * c * c)).convertSRGBToLinear();
    }
    made.opacity = glow ? Math.min(0.9, 0.25 + from.opacity) : share * from.opacity;
    made.userData = { opacity: made.opacity, glow: made.color.clone().multiplyScalar(glow) };
    made.onBeforeCompile = (shader) => {
      shader.fragmentShader = shader.fragmentShader.replace('#include <opaque_fragment>',
        'diffuseColor.a = mix(diffuseColor.a, min(0.9, 2.2 * diffuseColor.a + 0.1), pow(1.0 - abs(dot(normal, normalize(vViewPosition))), 2.5));\n#include <opaque_fragment>');
    };
    return made;
  }

  function filled(positions) {
    const geometry = new T.BufferGeometry();
    geometry.setAttribute('position', new T.BufferAttribute(new Float32Array(positions), 3));
    return geometry;
  }

  function solid({ points, triangles }) {
    const geometry = filled(Array.from(triangles).flatMap((k) => [points[3 * k], points[3 * k + 1], points[3 * k + 2]]));
    geometry.computeVertexNormals();
    geometry.computeBoundingSphere();
    return { geometry, edges: new T.EdgesGeometry(geometry, 35) };
  }

  function addBody({ at, axis, piece, way, tint }, { geometry, edges }) {
    const metal = new T.MeshLambertMaterial();
    metal.color.setRGB(...tint.slice(0, 3), 'srgb');
    const mesh = new T.Mesh(geometry, metal), edge = new T.LineSegments(edges, new T.LineBasicMaterial());
    mesh.quaternion.setFromUnitVectors(new T.Vector3(0, 1, 0), new T.Vector3(...axis));
    mesh.add(edge);
    rig.add(mesh);
    bodies.push({ mesh, edge, piece, home: new T.Vector3(...at), way: new T.Vector3(...way) });
  }

  // Walls, surface and the line round it.
  function addWater() {
    const skin = (opacity) => new T.MeshLambertMaterial({ transparent: true, opacity, depthWrite: false, side: T.DoubleSide, forceSinglePass: true });
    const parts = { walls: new T.Mesh(new T.BufferGeometry(), skin(pool.tint[3])), top: new T.Mesh(new T.BufferGeometry(), skin(2 * pool.tint[3])) };
    const line = new T.LineSegments(new T.BufferGeometry(), new T.LineBasicMaterial());
    for (const mesh of [parts.walls, parts.top]) mesh.material.color.setRGB(...pool.tint.slice(0, 3), 'srgb');
    for (const mesh of [parts.walls, parts.top, line]) rig.add(mesh);
    const { points } = pool.room, corners = [];
    for (let k = 0; k < points.length; k += 3) corners.push(new T.Vector3(points[k], points[k + 1], points[k + 2]));
    return { ...parts, line, corners, volume: 0 };
  }

  function wet(shape) {
    for (const part of ['walls', 'top', 'line']) {
      water[part].geometry.dispose();
      water[part].geometry = filled(shape[part]);
      if (part !== 'line') water[part].geometry.computeVertexNormals();
    }
    water.volume = liquid.volume(shape);
  }

  // The face in which two pieces meet, on each of them; shown when one is picked, and always when it does not seal.
  function addPatches({ a, b, ends, level }) {
    const [one, two] = ends.map((end) => new T.Vector3(...end));
    const size = two.clone().sub(one), home = one.add(two).multiplyScalar(0.5);
    const box = new T.BoxGeometry(Math.abs(size.x), Math.abs(size.y), Math.abs(size.z));
    for (const name of [a, b]) {
      const mesh = new T.Mesh(box, new T.MeshBasicMaterial({ transparent: true, opacity: 0.85 }));
      mesh.renderOrder = 1e6;
      rig.add(mesh);
      patches.push({ mesh, name, a, b, level, home });
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

  // Everything where it is, taken apart so far, at this time of what is played.
  function apart() {
    const now = move ? plays.pose(move, time) : { place: 0, angle: 0, spins: [] };
    const share = slider.value / 100;
    for (const [name, p] of pieces) {
      p.node.quaternion.copy(p.stand);
      p.node.position.copy(p.home).add(shift(name));
    }
    if (move) move.spins.forEach((spin, n) => spun(spin, now.spins[n]));
    for (const b of bodies) b.mesh.position.copy(b.home).add(shift(b.piece)).addScaledVector(b.way, share);
    for (const p of patches) p.mesh.position.copy(p.home).add(shift(p.name));
    if (move) stand(move, now);
    else { rig.position.set(0, 0, 0); rig.quaternion.identity(); }
    rig.updateMatrixWorld(true);
    if (water) flood(now, Math.max(0, 1 - share / 0.3));
    slider.setAttribute('aria-valuetext', { 0: 'assembled', 100: 'apart' }[slider.value] || `${slider.value} % apart`);
    draw();
  }

  function spun({ names, at, axis }, angle) {
    const turn = new T.Quaternion().setFromAxisAngle(new T.Vector3(...axis), angle), about = new T.Vector3(...at);
    for (const name of names) {
      const p = pieces.get(name);
      p.node.quaternion.copy(turn).multiply(p.stand);
      p.node.position.copy(p.home).sub(about).applyQuaternion(turn).add(about).add(shift(name));
    }
  }

  // The whole at a place of its way, turned about its pivot.
  function stand({ way, pivot, axis }, { place, angle }) {
    const about = new T.Vector3(...pivot);
    rig.quaternion.setFromAxisAngle(new T.Vector3(...axis), angle);
    rig.position.copy(about).sub(about.clone().applyQuaternion(rig.quaternion)).addScaledVector(new T.Vector3(...way), place);
  }

  // The line along which it slides, its two ends across.
  function railed() {
    const way = move && move.kind === 'slide' ? new T.Vector3(...move.way) : null;
    track.visible = Boolean(way);
    if (!way) return;
    const box = [...pieces.values()].reduce((all, p) => all.union(p.box), new T.Box3());
    const start = box.getCenter(new T.Vector3()).setY(box.min.y), end = start.clone().addScaledVector(way, move.places[move.places.length - 1]);
    const across = new T.Vector3(0, 1, 0).cross(way).setLength(0.25 * Math.hypot(box.max.x - box.min.x, box.max.z - box.min.z));
    const ticks = [start, end].flatMap((p) => [p.clone().add(across), p.clone().sub(across)]);
    track.geometry.dispose();
    track.geometry = filled([start, end, ...ticks].flatMap((p) => p.toArray()));
  }

  // The liquid as it stands then: level in the room, whichever way that is turned; it fades as the pieces leave.
  function flood(now, share) {
    const up = new T.Vector3(0, 1, 0).applyQuaternion(rig.quaternion.clone().invert());
    const level = now.level === undefined ? pool.level : now.level;
    wet(move && move.ripple ? liquid.swung(move.ripple, level, now.heights) : liquid.cut(pool.room, up, level, T));
    for (const part of ['walls', 'top', 'line']) water[part].visible = share > 0;
    water.walls.material.opacity = share * pool.tint[3];
    water.top.material.opacity = share * 2 * pool.tint[3];
  }

  // Stand so that all of it is seen, as it is now and wherever it comes to in what is played; from where one looks already.
  function frame(towards) {
    const points = [];
    for (const [name, { box }] of pieces) {
      for (let k = 0; k < 8; k += 1) {
        const end = (bit) => (k & bit ? 'max' : 'min');
        points.push(new T.Vector3(box[end(1)].x, box[end(2)].y, box[end(4)].z).add(shift(name)));
      }
    }
    for (const { mesh } of bodies) for (const r of [1, -1]) points.push(mesh.position.clone().addScalar(r * mesh.geometry.boundingSphere.radius));
    const all = swept(points);
    const right = new T.Vector3(0, 1, 0).cross(towards).normalize(), up = towards.clone().cross(right);
    const centre = new T.Box3().setFromPoints(all).getCenter(new T.Vector3());
    const high = Math.tan((camera.fov * Math.PI) / 360) * 0.93, wide = high * camera.aspect;
    let far = 0;
    for (let pass = 0; pass < 4; pass += 1) {
      const seen = all.map((p) => p.clone().sub(centre)).map((v) => [v.dot(right), v.dot(up), v.dot(towards)]);
      far = Math.max(...seen.map(([x, y, z]) => z + Math.max(Math.abs(x) / wide, Math.abs(y) / high)));
      const xs = seen.map(([x, , z]) => x / (far - z)), ys = seen.map(([, y, z]) => y / (far - z));
      centre.addScaledVector(right, ((Math.max(...xs) + Math.min(...xs)) / 2) * far);
      centre.addScaledVector(up, ((Math.max(...ys) + Math.min(...ys)) / 2) * far);
    }
    camera.near = far / 100;
    near = false;
    camera.far = far * 20;
    camera.updateProjectionMatrix();
    camera.position.copy(centre).addScaledVector(towards, far);
    controls.minDistance = far / 20;
    controls.maxDistance = far * 5;
    controls.target.copy(centre);
    controls.update();
  }

  const looking = () => camera.position.clone().sub(controls.target).normalize();

  // Where all of it comes to in what is played.
  function swept(points) {
    if (!move || move.kind === 'gears') return points;
    const back = { position: rig.position.clone(), quaternion: rig.quaternion.clone() }, out = [];
    for (let k = 0; k <= 16; k += 1) {
      stand(move, plays.pose(move, (plays.last(move) * k) / 16));
      for (const p of points) out.push(p.clone().applyQuaternion(rig.quaternion).add(rig.position));
    }
    rig.position.copy(back.position);
    rig.quaternion.copy(back.quaternion);
    return out;
  }

  function screenAt(point) {
    const p = point.clone().project(camera);
    return { x: ((p.x + 1) / 2) * canvas.clientWidth, y: ((1 - p.y) / 2) * canvas.clientHeight, hidden: p.z > 1 };
  }

  // Clear things are drawn from the back to the front: of two boxes that a plane parts, the one on the far side of it first.
  function order() {
    const eye = rig.worldToLocal(camera.position.clone()).toArray();
    const things = [...pieces].map(([name, p]) => ({ meshes: p.meshes, box: p.box.clone().translate(shift(name)) }));
    if (water) things.push({ meshes: [water.walls, water.top], box: new T.Box3().setFromPoints(water.corners) });
    for (const one of things) [one.low, one.high] = [one.box.min.toArray(), one.box.max.toArray()];
    const ahead = things.map(() => []), waits = things.map(() => 0);
    for (let i = 0; i < things.length; i += 1) {
      for (let k = i + 1; k < things.length; k += 1) {
        const first = behind(things[i], things[k], eye);
        if (first) { ahead[first > 0 ? i : k].push(first > 0 ? k : i); waits[first > 0 ? k : i] += 1; }
      }
    }
    const free = [];
    waits.forEach((n, k) => { if (!n) free.push(k); });
    const left = new Set(things.keys());
    for (let turn = 0; left.size; turn += 1) {
      const next = free.length ? free.pop() : left.values().next().value; // a ring of things that hide each other: anywhere
      if (!left.delete(next)) { turn -= 1; continue; }
      for (const mesh of things[next].meshes) mesh.renderOrder = 2 * turn + (water && mesh === water.top ? 1 : 0);
      for (const k of ahead[next]) if ((waits[k] -= 1) === 0) free.push(k);
    }
  }

  // 1 where a must be drawn before b, -1 where after it, 0 where it is all the same.
  function behind(a, b, eye) {
    let said = 0;
    for (let k = 0; k < 3; k += 1) {
      let here = 0;
      if (a.high[k] <= b.low[k] + 1e-5) here = eye[k] > b.low[k] ? 1 : eye[k] < a.high[k] ? -1 : 0;
      else if (b.high[k] <= a.low[k] + 1e-5) here = eye[k] > a.low[k] ? -1 : eye[k] < b.high[k] ? 1 : 0;
      else continue;
      if (!here || (said && said !== here)) return 0; // neither hides any of the other
      said = here;
    }
    return said;
  }

  let asked = 0;
  // Labels at once; the picture once a frame, however often it is asked for.
  function draw() {
    asked = asked || requestAnimationFrame(() => {
      asked = 0;
      order();
      renderer.render(scene, camera);
    });
    camera.updateMatrixWorld();
    const stood = [];
    for (const { label, at, name } of flags) {
      const { x, y, hidden } = screenAt(rig.localToWorld(at.clone().add(shift(name))));
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
      for (const material of p.meshes.flatMap((mesh) => mesh.material)) {
        const { opacity, glow } = material.userData;
        material.emissive.set(name === picked ? '#0b6178' : bad.has(name) ? '#7a1010' : glow);
        material.opacity = name === picked ? Math.max(0.5, opacity) : opacity;
      }
      for (const edge of p.edges) edge.material.color.set(bad.has(name) ? colour('stop') : name === picked ? accent : ink);
    }
    for (const { edge } of bodies) edge.material.color.set(ink);
    track.material.color.set(colour('soft'));
    if (water) water.line.material.color.set(dark.matches ? '#8fd0f5' : '#0b5d8f');
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
    near = near || factor !== 1;
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
  slider.addEventListener('input', () => {
    apart();
    if (!near) frame(looking()); // as near as it can be, until one has chosen oneself
    draw();
  });
  canvas.addEventListener('wheel', () => { near = near || controls.enableZoom; }, { passive: true });

  // ---- what moves
  const what = find('what'), run = find('run'), when = find('when'), clock = find('clock');
  const still = matchMedia('(prefers-reduced-motion: reduce)');
  let running = 0; // the frame that is asked for, else nought

  function choose(number) {
    halt();
    move = number === '' ? null : moves[Number(number)];
    time = 0;
    railed();
    if (!what) return;
    const whole = move ? plays.last(move) : 0;
    for (const node of [run, when, when.labels[0]]) node.hidden = !whole || (node === run && still.matches);
    when.max = whole;
    when.step = whole / 200 || 1;
    tell();
  }

  function seek(to) {
    time = Math.min(Math.max(to, 0), move ? plays.last(move) : 0);
    tell();
    apart();
  }

  function tell() {
    when.value = time;
    clock.textContent = move ? plays.words(move, time, data.unit) : '';
    when.setAttribute('aria-valuetext', clock.textContent);
  }

  function halt() {
    if (running) cancelAnimationFrame(running);
    running = 0;
    if (run) run.textContent = 'Play';
  }

  // At true speed, from where it is; from the start once it has ended.
  function play() {
    if (time >= plays.last(move)) time = 0;
    const start = performance.now() - time * 1000;
    const step = (now) => {
      seek((now - start) / 1000);
      if (time < plays.last(move)) running = requestAnimationFrame(step);
      else halt();
    };
    running = requestAnimationFrame(step);
    run.textContent = 'Pause';
  }

  if (what) {
    what.addEventListener('change', () => {
      choose(what.value);
      slider.value = 0;
      apart();
      frame(looking());
      draw();
    });
    when.addEventListener('input', () => { halt(); seek(Number(when.value)); });
    run.addEventListener('click', () => (running ? halt() : play()));
    still.addEventListener('change', () => { halt(); run.hidden = still.matches || !move; });
  }

  // For tests: what is shown at this moment.
  function state() {
    const turned = (name) => pieces.get(name).stand.angleTo(pieces.get(name).node.quaternion);
    return {
      time, running: running !== 0, place: rig.position.toArray(), angle: 2 * Math.acos(Math.min(1, Math.abs(rig.quaternion.w))),
      litres: water ? water.volume * 1000 : null, wet: Boolean(water && water.top.visible), bodies: bodies.length,
      tilt: water ? levelness() : null, turned: Object.fromEntries([...pieces.keys()].map((name) => [name, turned(name)])),
    };
  }

  // The greatest difference in height of the surface's corners in the world, m.
  function levelness() {
    const p = water.top.geometry.getAttribute('position'), heights = [];
    for (let k = 0; k < p.count; k += 1) heights.push(rig.localToWorld(new T.Vector3(p.getX(k), p.getY(k), p.getZ(k))).y);
    return Math.max(...heights) - Math.min(...heights);
  }

  find('whole').addEventListener('click', () => { frame(LOOK); draw(); });
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
    apart();
    if (!framed || turned) frame(framed ? looking() : LOOK);
    framed = true;
    draw();
  }
  new ResizeObserver(resize).observe(stage);
})();
