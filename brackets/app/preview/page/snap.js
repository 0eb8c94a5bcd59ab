"use strict";
// What a place on the page means in the scene: the nearest corner, circle, edge or face that can be seen there. A few
// pixels beside the metal count as on it. Ends, centres, axes and planes are those of the solid, not of its triangles.
// Translucent bodies are passed through. mm, in the axes of the picture.

Brackets.snap = function (stage, parts, host) {
  const CORNER = 8, NEAR = 10, BEHIND = 1.5;  // px from the pointer; of two edges so near each other, the one before
  const SINK = 0.5;  // mm that metal may lie before a point of its own edge: the triangles of a round face
  const RANK = { corner: 0, circle: 1, edge: 2, curve: 2 };
  const whole = new THREE.Matrix4(), one = new THREE.Vector4();

  // A pick at x, y px: {kind, item, point, ...}, see the four makers below; null where nothing is near.
  function snap(x, y) {
    const near = candidates(x, y).sort((p, q) => RANK[p.kind] - RANK[q.kind] || p.far - q.far);
    const found = near.find((pick) => seen(pick.on));
    if (found) {
      const level = near.filter((pick) => RANK[pick.kind] === RANK[found.kind] && Math.abs(pick.far - found.far) < BEHIND && seen(pick.on));
      return level.reduce((first, pick) => (depth(pick.on) < depth(first.on) - SINK ? pick : first), found);
    }
    for (const [dx, dy] of [[0, 0], ...ring(4), ...ring(8)]) {
      const hit = parts.under(stage.ray(x + dx, y + dy), false);
      if (hit) return face(hit);
    }
    return null;
  }

  const ring = (r) => [0, 1, 2, 3, 4, 5, 6, 7].map((i) => [r * Math.cos((i * Math.PI) / 4), r * Math.sin((i * Math.PI) / 4)]);
  const world = (item, three) => new THREE.Vector3().fromArray(three).applyMatrix4(item.node.matrixWorld);
  const way = (item, three) => new THREE.Vector3().fromArray(three).transformDirection(item.node.matrixWorld);
  const asMade = (item) => !item.shape || Brackets.page.folded === 1;  // part-unfolded, no surface stands where it was
  const depth = (point) => -point.clone().applyMatrix4(stage.camera.matrixWorldInverse).z;

  function seen(point) {
    if (parts.clips.some((plane) => plane.distanceToPoint(point) < -1e-3)) return false;
    const at = stage.at(point), hit = parts.under(stage.ray(at.x, at.y), false);
    return !hit || depth(hit.point) > depth(point) - SINK;
  }

  // ------------------------------------------------------------------ edges and their ends
  function candidates(x, y) {
    const found = [];
    for (const item of parts.items) {
      if (!item.node.visible || item.ghost || item.what === "foul") continue;
      whole.multiplyMatrices(stage.camera.projectionMatrix, stage.camera.matrixWorldInverse).multiply(item.node.matrixWorld);
      if (!nearBox(item, x, y)) continue;
      const segments = item.shape ? item.shape.segments : item.data.segments, runs = item.data.runs;
      const points = projected(segments);
      runs.forEach((run, r) => {
        const end = r + 1 < runs.length ? runs[r + 1][0] : segments.length / 6;
        let best = null, corner = null;
        for (let i = run[0]; i < end; i++) {
          const [ax, ay, bx, by] = points.subarray(4 * i, 4 * i + 4);
          const t = share(ax, ay, bx, by, x, y), far = Math.hypot(ax + t * (bx - ax) - x, ay + t * (by - ay) - y);
          if (far < NEAR && (!best || far < best.far)) best = { far, i, t };
          for (const [k, px, py] of [[i === run[0] ? 0 : -1, ax, ay], [i === end - 1 ? 1 : -1, bx, by]]) {
            const off = Math.hypot(px - x, py - y);
            if (k >= 0 && off < CORNER && (!corner || off < corner.far)) corner = { far: off, k, i };
          }
        }
        if (best) found.push(edge(item, segments, run, end, best));
        if (corner && run[1] !== "circle") found.push(vertex(item, segments, run, corner));
      });
    }
    return found;
  }

  function nearBox(item, x, y) {
    const { min, max } = item.face.geometry.boundingBox;
    const low = [Infinity, Infinity], high = [-Infinity, -Infinity];
    for (let i = 0; i < 8; i++) {
      const p = screen(i & 1 ? max.x : min.x, i & 2 ? max.y : min.y, i & 4 ? max.z : min.z);
      p.forEach((v, k) => { low[k] = Math.min(low[k], v); high[k] = Math.max(high[k], v); });
    }
    return x > low[0] - NEAR && x < high[0] + NEAR && y > low[1] - NEAR && y < high[1] + NEAR;
  }

  function screen(x, y, z) {
    one.set(x, y, z, 1).applyMatrix4(whole);
    return [((one.x / one.w + 1) / 2) * host.clientWidth, ((1 - one.y / one.w) / 2) * host.clientHeight];
  }

  function projected(segments) {
    const points = new Float32Array((segments.length / 3) * 2);
    for (let i = 0; i < segments.length / 3; i++) points.set(screen(segments[3 * i], segments[3 * i + 1], segments[3 * i + 2]), 2 * i);
    return points;
  }

  function share(ax, ay, bx, by, x, y) {
    const dx = bx - ax, dy = by - ay, long = dx * dx + dy * dy;
    return long ? Math.min(Math.max(((x - ax) * dx + (y - ay) * dy) / long, 0), 1) : 0;
  }

  function vertex(item, segments, run, { far, k, i }) {
    const exact = run[1] === "line" && run[2] && asMade(item);
    const drawn = world(item, segments.subarray(6 * i + 3 * k, 6 * i + 3 * k + 3));
    if (!exact) return { kind: "corner", item, far, point: drawn, on: drawn };
    const ends = [world(item, run[2]), world(item, run[3])].sort((p, q) => p.distanceTo(drawn) - q.distanceTo(drawn));
    return { kind: "corner", item, far, point: ends[0], on: drawn };
  }

  // kind "edge": straight, from a to b; "circle": its centre is the point, way its axis, closed or an arc; "curve".
  function edge(item, segments, run, end, { far, i, t }) {
    const from = world(item, segments.subarray(6 * i, 6 * i + 3)), to = world(item, segments.subarray(6 * i + 3, 6 * i + 6));
    const on = from.clone().lerp(to, t);
    const pick = { item, far, on };
    if (run[1] === "circle" && asMade(item)) {
      const first = world(item, segments.subarray(6 * run[0], 6 * run[0] + 3)), last = world(item, segments.subarray(6 * end - 3, 6 * end));
      return { ...pick, kind: "circle", point: world(item, run[2]), way: way(item, run[3]), radius: run[4], closed: first.distanceTo(last) < 1e-3 };
    }
    if (run[1] !== "line") return { ...pick, kind: "curve", point: on };
    const exact = run[2] && asMade(item);  // a scan's creases are one run: each is an edge of its own
    const [a, b] = exact ? [world(item, run[2]), world(item, run[3])] : [from, to];
    return { ...pick, kind: "edge", a, b, point: new THREE.Line3(a, b).closestPointToPoint(on, true, new THREE.Vector3()) };
  }

  // kind "flat face": way out of the metal; "round face": its axis through `axis` along way; else "face".
  function face(hit) {
    const { item, point } = hit;
    const row = item.data.faces.filter((one) => one[0] <= hit.triangle).pop();
    const pick = { item, point, on: point };
    if (!asMade(item) || !["flat", "round"].includes(row[1])) return { ...pick, kind: "face" };
    const at = world(item, row[2]), along = way(item, row[3]);
    if (row[1] === "round") return { ...pick, kind: "round face", radius: row[4], way: along, axis: at.addScaledVector(along, point.clone().sub(at).dot(along)) };
    return { ...pick, kind: "flat face", way: along, point: point.clone().addScaledVector(along, at.sub(point).dot(along)) };
  }

  return snap;
};
