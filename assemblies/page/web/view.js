'use strict';
// The view: the pieces as they are now, assembled to apart, the liquid level. It follows each answer; where one looks from stays.
const view = (() => {
  const find = (id) => document.getElementById(id);
  const none = { show() {}, state: () => null };
  if (!document.createElement('canvas').getContext('webgl2')) return none;
  const T = window.three3d, stage = find('stage'), slider = find('apart'), dark = matchMedia('(prefers-color-scheme: dark)');
  const renderer = new T.WebGLRenderer({ antialias: true, alpha: true }), canvas = renderer.domElement;
  document.documentElement.classList.add('live');
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'img');
  canvas.setAttribute('aria-label', 'Model of the whole thing. Arrow keys turn it, plus and minus zoom.');
  canvas.style.touchAction = 'pan-y';
  stage.append(canvas);
  const scene = new T.Scene(), rig = new T.Group(), camera = new T.PerspectiveCamera(26, 1, 0.001, 100);
  rig.rotation.x = -Math.PI / 2; // the design has z up
  rig.scale.setScalar(0.001);
  const lamp = new T.DirectionalLight(0xffffff, 2.0);
  lamp.position.set(0.6, 2, 1.4);
  scene.add(new T.HemisphereLight(0xffffff, 0xc4d2da, 2.2), lamp, rig);
  const controls = new T.OrbitControls(camera, canvas);
  controls.enableZoom = false;
  const LOOK = new T.Vector3(0.62, 0.58, 1.0).normalize();
  let pieces = [], water = null, framed = '', asked = 0, pool = null, fitted = 0;

  const filled = (positions) => {
    const geometry = new T.BufferGeometry();
    geometry.setAttribute('position', new T.BufferAttribute(positions, 3));
    geometry.computeVertexNormals();
    return geometry;
  };

  // A part's faces and walls as triangles.
  function solid({ caps, quads }) {
    const out = [];
    for (const { normal, rings } of caps) {
      const z = new T.Vector3(...normal), x = new T.Vector3(Math.abs(z.x) < 0.9 ? 1 : 0, Math.abs(z.x) < 0.9 ? 0 : 1, 0).cross(z).normalize(), y = z.clone().cross(x);
      const loops = rings.map((ring) => { const f = liquid.floats(ring), p = []; for (let k = 0; k < f.length; k += 3) p.push(new T.Vector3(f[k], f[k + 1], f[k + 2])); return p; });
      const flat = loops.map((l) => l.map((p) => new T.Vector2(p.dot(x), p.dot(y)))), all = loops.flat();
      for (const [a, b, c] of T.ShapeUtils.triangulateShape(flat[0], flat.slice(1))) {
        const turn = all[b].clone().sub(all[a]).cross(all[c].clone().sub(all[a])).dot(z) < 0;
        for (const k of turn ? [a, c, b] : [a, b, c]) out.push(all[k].x, all[k].y, all[k].z);
      }
    }
    const q = liquid.floats(quads);
    for (let k = 0; k < q.length; k += 12) for (const n of [0, 1, 2, 0, 2, 3]) out.push(q[k + 3 * n], q[k + 3 * n + 1], q[k + 3 * n + 2]);
    return filled(new Float32Array(out));
  }

  function clear() {
    rig.traverse((n) => { if (n.geometry) n.geometry.dispose(); if (n.material) n.material.dispose(); });
    rig.clear();
    pieces = [];
  }

  function show(model, kind) {
    clear();
    const shapes = model.parts.map(solid), ink = new T.Color(dark.matches ? 0xbfe3ee : 0x16424f), bad = new T.Color(dark.matches ? 0xff9a94 : 0xa01b1b);
    const edges = shapes.map((g) => new T.EdgesGeometry(g, 25));
    for (const p of model.pieces) {
      const tint = model.parts[p.part].tint, group = new T.Group(), x = new T.Vector3(...p.x), z = new T.Vector3(...p.z);
      const skin = new T.MeshLambertMaterial({ transparent: true, opacity: 0.5 * tint[3] + 0.1, depthWrite: false, side: T.DoubleSide, forceSinglePass: true });
      skin.color.setRGB(...tint.slice(0, 3), 'srgb');
      if (p.red) skin.emissive.set('#7a1010');
      group.add(new T.Mesh(shapes[p.part], skin), new T.LineSegments(edges[p.part], new T.LineBasicMaterial({ color: p.red ? bad : ink })));
      group.matrix.makeBasis(x, z.clone().cross(x), z);
      group.quaternion.setFromRotationMatrix(group.matrix);
      rig.add(group);
      pieces.push({ name: p.name, group, home: new T.Vector3(...p.origin), way: new T.Vector3(...p.way) });
    }
    pool = model.pool;
    water = pool && addWater();
    apart();
    resize();
    if (framed !== kind) frame(LOOK);
    else if (size() > 1.05 * fitted || size() < 0.5 * fitted) frame(camera.position.clone().sub(controls.target).normalize()); // it would not be in the picture, or lost in it
    framed = kind;
  }

  function addWater() {
    const room = { points: liquid.floats(pool.points), triangles: liquid.numbers(pool.triangles) };
    const shape = liquid.cut(room, new T.Vector3(0, 0, 1), pool.level, T), meshes = [];
    for (const [part, opacity] of [['walls', pool.tint[3]], ['top', 2 * pool.tint[3]]]) {
      const skin = new T.MeshLambertMaterial({ transparent: true, opacity, depthWrite: false, side: T.DoubleSide, forceSinglePass: true });
      skin.color.setRGB(...pool.tint.slice(0, 3), 'srgb');
      skin.userData = { opacity };
      meshes.push(new T.Mesh(filled(new Float32Array(shape[part])), skin));
    }
    const line = new T.LineSegments(filled(new Float32Array(shape.line)), new T.LineBasicMaterial({ color: dark.matches ? 0x8fd0f5 : 0x0b5d8f }));
    rig.add(...meshes, line);
    const heights = shape.top.filter((_, k) => k % 3 === 2);
    return { meshes, line, volume: liquid.volume(shape), level: pool.level, uneven: Math.max(...heights) - Math.min(...heights) };
  }

  function apart() {
    const share = slider.value / 100;
    for (const p of pieces) p.group.position.copy(p.home).addScaledVector(p.way, share);
    if (water) {
      const left = Math.max(0, 1 - share / 0.3); // it fades as the pieces leave
      for (const mesh of water.meshes) { mesh.visible = left > 0; mesh.material.opacity = left * mesh.material.userData.opacity; }
      water.line.visible = left > 0;
    }
    slider.setAttribute('aria-valuetext', { 0: 'assembled', 100: 'apart' }[slider.value] || `${slider.value} % apart`);
    draw();
  }

  function around() {
    rig.updateMatrixWorld(true);
    const box = new T.Box3();
    for (const p of pieces) box.expandByObject(p.group);
    return box;
  }
  const size = () => around().getSize(new T.Vector3()).length();

  function frame(towards) {
    const box = around();
    if (box.isEmpty()) return;
    fitted = size();
    const centre = box.getCenter(new T.Vector3()), radius = box.getSize(new T.Vector3()).length() / 2;
    const half = Math.tan((camera.fov * Math.PI) / 360) * Math.min(1, camera.aspect);
    const far = (0.92 * radius) / half + 0.3 * radius;
    camera.near = far / 100;
    camera.far = far * 20;
    camera.updateProjectionMatrix();
    camera.position.copy(centre).addScaledVector(towards, far);
    controls.minDistance = far / 20;
    controls.maxDistance = far * 5;
    controls.target.copy(centre);
    controls.update();
    draw();
  }

  function turn(side, tip, factor) {
    const v = camera.position.clone().sub(controls.target), flat = Math.hypot(v.x, v.z), r = v.length() * factor;
    const up = Math.max(-1.5, Math.min(1.5, Math.atan2(v.y, flat) + tip)), round = Math.atan2(v.x, v.z) + side;
    camera.position.set(r * Math.cos(up) * Math.sin(round), r * Math.sin(up), r * Math.cos(up) * Math.cos(round)).add(controls.target);
    controls.update();
    draw();
  }

  function draw() {
    asked = asked || requestAnimationFrame(() => { asked = 0; renderer.render(scene, camera); });
  }

  function resize() {
    const { clientWidth: w, clientHeight: h } = stage;
    if (!w || !h) return;
    renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    renderer.setSize(w, h, false);
    camera.aspect = w / h;
    camera.updateProjectionMatrix();
    draw();
  }

  slider.addEventListener('input', () => { apart(); if (slider.value > 0) frame(camera.position.clone().sub(controls.target).normalize()); });
  canvas.addEventListener('keydown', (event) => {
    const step = { ArrowLeft: [0.15, 0, 1], ArrowRight: [-0.15, 0, 1], ArrowUp: [0, 0.1, 1], ArrowDown: [0, -0.1, 1], '+': [0, 0, 0.8], '-': [0, 0, 1.25] }[event.key];
    if (step) { event.preventDefault(); turn(...step); }
  });
  canvas.addEventListener('focus', () => { controls.enableZoom = true; });
  canvas.addEventListener('blur', () => { controls.enableZoom = false; });
  find('whole').addEventListener('click', () => frame(LOOK));
  find('nearer').addEventListener('click', () => turn(0, 0, 0.8));
  find('farther').addEventListener('click', () => turn(0, 0, 1.25));
  controls.addEventListener('change', draw);
  new ResizeObserver(resize).observe(stage);
  const state = () => ({
    places: Object.fromEntries(pieces.map((p) => [p.name, p.group.position.toArray()])),
    water: water && { volume: water.volume, level: water.level, uneven: water.uneven },
  });
  return { show, state };
})();
