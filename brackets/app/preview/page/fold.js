"use strict";
// Folds and unfolds a piece by the tree its blank is made from. 1 is folded as made, 0 is flat.
// Every corner knows its wall (n) or its bend (128 + n). The unstretched layer of a bend keeps its length.

Brackets.fold = function (hinges, mesh) {
  const FLAT = 1e-4;
  const made = places(1);
  const back = made.walls.map((m) => m.clone().invert());
  const backBends = made.bends.map((m) => m.clone().invert());

  function places(f) {
    const walls = [new THREE.Matrix4()];
    const bends = [];
    for (const b of hinges.bends) {
      const at = walls[b.parent].clone().multiply(new THREE.Matrix4().fromArray(b.place));
      bends.push(at);
      walls.push(at.clone().multiply(beyond(b, f)));
    }
    return { walls, bends };
  }

  function inside(b, f) {
    return b.allowance / (Math.abs(rad(b.angle)) * f) - b.k * hinges.t;
  }

  function beyond(b, f) {
    if (f < FLAT) return new THREE.Matrix4().makeTranslation(0, b.allowance, 0);
    const a = rad(b.angle) * f;
    const far = inside(b, f) + (b.angle > 0 ? hinges.t : 0);
    const m = new THREE.Matrix4().makeRotationX(a);
    m.setPosition(0, far * Math.abs(Math.sin(a)), Math.sign(b.angle) * far * (1 - Math.cos(a)));
    return m;
  }

  // A point of a bend, given in the bend's frame as made, where it is at f; and how far its normal has turned.
  function bent(b, f, p) {
    const up = Math.sign(b.angle);
    const axis = b.angle > 0 ? hinges.t + b.inside : -b.inside;
    const z = (axis - p.z) * up;
    const turn = Math.atan2(p.y, z);
    const depth = Math.hypot(p.y, z) - b.inside;
    if (f < FLAT) {
      p.set(p.x, (turn / Math.abs(rad(b.angle))) * b.allowance, b.angle > 0 ? hinges.t - depth : depth);
      return -turn * up;
    }
    const r = inside(b, f);
    const centre = b.angle > 0 ? hinges.t + r : -r;
    p.set(p.x, (r + depth) * Math.sin(turn * f), centre - up * (r + depth) * Math.cos(turn * f));
    return -turn * up * (1 - f);
  }

  const p = new THREE.Vector3();
  const X = new THREE.Vector3(1, 0, 0);

  function moved(from, to, zones, now, f, normalsFrom, normalsTo, stride) {
    for (let i = 0; i < zones.length; i++) {
      const zone = zones[i];
      p.fromArray(from, 3 * i);
      let turn = 0, was, is;
      if (zone < 128) {
        was = back[zone];
        is = now.walls[zone];
        p.applyMatrix4(was);
      } else {
        was = backBends[zone - 129];
        is = now.bends[zone - 129];
        p.applyMatrix4(was);
        turn = bent(hinges.bends[zone - 129], f, p);
      }
      p.applyMatrix4(is).toArray(to, 3 * i);
      if (!normalsFrom) continue;
      p.set(normalsFrom[stride * i], normalsFrom[stride * i + 1], normalsFrom[stride * i + 2]).transformDirection(was);
      if (turn) p.applyAxisAngle(X, turn);
      p.transformDirection(is);
      normalsTo[stride * i] = Math.round(p.x * 127);
      normalsTo[stride * i + 1] = Math.round(p.y * 127);
      normalsTo[stride * i + 2] = Math.round(p.z * 127);
    }
  }

  // Middle lines of the bends along their outside, as pairs of points.
  function lines(now, f) {
    const out = [];
    hinges.bends.forEach((b, i) => {
      for (const end of b.line) {
        const q = new THREE.Vector3().fromArray(end);
        bent(b, f, q);
        out.push(...q.applyMatrix4(now.bends[i]).toArray());
      }
    });
    return new Float32Array(out);
  }

  return function (f) {
    const now = places(f);
    const positions = new Float32Array(mesh.positions.length);
    const normals = new Int8Array(mesh.normals.length);
    const segments = new Float32Array(mesh.segments.length);
    moved(mesh.positions, positions, mesh.cornerZones, now, f, mesh.normals, normals, 4);
    moved(mesh.segments, segments, mesh.edgeZones, now, f);
    return { positions, normals, segments, lines: lines(now, f) };
  };

  function rad(degrees) {
    return (degrees * Math.PI) / 180;
  }
};
