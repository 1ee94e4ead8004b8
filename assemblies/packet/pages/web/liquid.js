'use strict';
// Liquid in its room: cut level, or with the surface of its first waves. Plain geometry; every figure comes from the data.
const liquid = (() => {
  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
  const floats = (text) => new Float32Array(bytes(text)), numbers = (text) => new Uint16Array(bytes(text));

  // What lies below the plane up . p = level of closed triangles: its walls, its surface, the line round that; xyz after xyz.
  function cut({ points, triangles }, up, level, T) {
    const low = 1e-7; // a point in the plane counts as just under it
    const depth = Array.from({ length: points.length / 3 }, (_, k) => {
      const d = level - up.x * points[3 * k] - up.y * points[3 * k + 1] - up.z * points[3 * k + 2];
      return Math.abs(d) < low ? low : d;
    });
    const at = (k) => [points[3 * k], points[3 * k + 1], points[3 * k + 2]];
    const walls = [], after = new Map(), place = new Map();
    const cross = (a, b) => { // where the edge from a to b meets the plane, the same from either side
      const [i, k] = a < b ? [a, b] : [b, a], key = i * 65536 + k, s = depth[i] / (depth[i] - depth[k]), p = at(i), q = at(k);
      if (!place.has(key)) place.set(key, p.map((v, n) => v + s * (q[n] - v)));
      return key;
    };
    for (let t = 0; t < triangles.length; t += 3) {
      const corner = [triangles[t], triangles[t + 1], triangles[t + 2]], kept = [];
      let leaves = null, enters = null;
      corner.forEach((a, n) => {
        const b = corner[(n + 1) % 3];
        if (depth[a] > 0) kept.push(at(a));
        if (depth[a] > 0 !== depth[b] > 0) {
          const key = cross(a, b);
          kept.push(place.get(key));
          if (depth[a] > 0) leaves = key; else enters = key;
        }
      });
      for (let k = 1; k + 1 < kept.length; k += 1) walls.push(...kept[0], ...kept[k], ...kept[k + 1]);
      if (leaves !== null) after.set(enters, leaves); // the surface runs the other way along it
    }
    const loops = [];
    while (after.size) {
      const loop = [];
      for (let key = after.keys().next().value; after.has(key);) {
        loop.push(place.get(key));
        const next = after.get(key);
        after.delete(key);
        key = next;
      }
      loops.push(loop);
    }
    return { walls, top: lid(loops, up, T), line: loops.flatMap((l) => l.flatMap((p, k) => [...p, ...l[(k + 1) % l.length]])) };
  }

  // The surface inside loops: what runs counter-clockwise seen from above is its border, the rest are islands in it.
  function lid(loops, up, T) {
    const e1 = new T.Vector3(Math.abs(up.x) < 0.9 ? 1 : 0, 0, Math.abs(up.x) < 0.9 ? 0 : 1).cross(up).normalize(), e2 = up.clone().cross(e1);
    const flat = (loop) => loop.map(([x, y, z]) => new T.Vector2(x * e1.x + y * e1.y + z * e1.z, x * e2.x + y * e2.y + z * e2.z));
    const every = loops.filter((l) => l.length > 2).map((loop) => ({ loop, plan: flat(loop), holes: [] }));
    for (const one of every) one.area = T.ShapeUtils.area(one.plan);
    const borders = every.filter((one) => one.area > 0);
    for (const hole of every.filter((one) => one.area < 0)) {
      const around = borders.find((one) => within(hole.plan[0], one.plan));
      if (around) around.holes.push(hole);
    }
    return borders.flatMap(({ loop, plan, holes }) => {
      const all = [loop, ...holes.map((h) => h.loop)].flat();
      return T.ShapeUtils.triangulateShape(plan, holes.map((h) => h.plan)).flatMap((t) => t.flatMap((k) => all[k]));
    });
  }

  function within({ x, y }, plan) {
    return plan.reduce((inside, a, k) => {
      const b = plan[(k + 1) % plan.length];
      return a.y > y !== b.y > y && x < a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x) ? !inside : inside;
    }, false);
  }

  // The same of an upright tank whose surface swings: `heights` of its waves over the level at rest.
  function swung({ places, triangles, rim, floor, shapes }, level, heights) {
    const count = places.length / 2;
    const high = Array.from({ length: count }, (_, k) => heights.reduce((sum, h, w) => sum + h * shapes[w * count + k], level));
    const up = (k) => [places[2 * k], high[k], places[2 * k + 1]], down = (k) => [places[2 * k], floor, places[2 * k + 1]];
    const top = [], walls = [], line = [];
    for (let t = 0; t < triangles.length; t += 3) {
      const [a, b, c] = triangles.slice(t, t + 3);
      top.push(...up(a), ...up(b), ...up(c));
      walls.push(...down(a), ...down(c), ...down(b));
    }
    rim.forEach((a, n) => {
      const b = rim[(n + 1) % rim.length];
      walls.push(...down(a), ...down(b), ...up(b), ...down(a), ...up(b), ...up(a));
      line.push(...up(a), ...up(b));
    });
    return { walls, top, line };
  }

  function volume({ walls, top }) {
    let sum = 0;
    for (const p of [walls, top]) {
      for (let k = 0; k < p.length; k += 9) {
        const [ax, ay, az, bx, by, bz, cx, cy, cz] = p.slice(k, k + 9);
        sum += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
      }
    }
    return sum / 6;
  }

  return { bytes, floats, numbers, cut, swung, volume };
})();
