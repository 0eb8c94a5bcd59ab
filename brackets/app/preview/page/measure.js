"use strict";
// Measuring between two picks: corners, points of edges, circle centres, flat and round faces. Translucent bodies
// are not measured. mm, in the axes of the picture.

Brackets.measure = function (stage, parts, labels, readout) {
  const NEAR = 10;
  const measure = { on: false, picks: [], text: "" };

  measure.set = function (on) {
    measure.on = on;
    measure.picks = [];
    labels.cursor = null;
    show();
  };

  measure.click = function (x, y) {
    const hit = parts.under(stage.ray(x, y), false);
    if (!hit) return;
    if (measure.picks.length === 2) measure.picks = [];
    measure.picks.push(snapped(hit, x, y));
    show();
  };

  measure.again = () => { measure.picks = []; show(); };

  // The nearest thing worth measuring from: a corner, then a circle's centre, then an edge, then the face itself.
  function snapped(hit, x, y) {
    const { item } = hit;
    const world = item.node.matrixWorld;
    const data = item.shape ? { ...item.data, segments: item.shape.segments } : item.data;
    const wide = stage.at(hit.point).z;
    const found = { corner: null, circle: null, edge: null };
    const keep = (kind, far, more) => { if (far < NEAR && (!found[kind] || far < found[kind].far)) found[kind] = { kind, far, item, ...more }; };
    const a = new THREE.Vector3(), b = new THREE.Vector3(), edge = new THREE.Line3(), point = new THREE.Vector3();
    const depth = depthOf(hit.point);
    data.runs.forEach((run, r) => {
      const end = r + 1 < data.runs.length ? data.runs[r + 1][0] : data.segments.length / 6;
      for (let i = run[0]; i < end; i++) {
        a.fromArray(data.segments, 6 * i).applyMatrix4(world);
        b.fromArray(data.segments, 6 * i + 3).applyMatrix4(world);
        const pa = stage.at(a), pb = stage.at(b);
        const t = share(pa, pb, x, y);
        const far = Math.hypot(pa.x + t * (pb.x - pa.x) - x, pa.y + t * (pb.y - pa.y) - y);
        if (far >= NEAR) continue;
        edge.set(a, b); edge.at(t, point);
        if (depthOf(point) > depth + 3 * mm()) continue;
        if (run[1] === "circle" && folded(item)) {
          const centre = new THREE.Vector3().fromArray(run[2]).applyMatrix4(world);
          keep("circle", far, { point: centre, way: new THREE.Vector3().fromArray(run[3]).transformDirection(world), radius: run[4] });
        } else {
          keep("edge", far, { point: point.clone(), way: b.clone().sub(a).normalize(), straight: run[1] === "line" });
        }
        if (run[1] !== "circle") {
          if (i === run[0]) keep("corner", Math.hypot(pa.x - x, pa.y - y), { point: a.clone() });
          if (i === end - 1) keep("corner", Math.hypot(pb.x - x, pb.y - y), { point: b.clone() });
        }
      }
    });
    const best = found.corner || found.circle || found.edge;
    if (best) return best;
    const face = data.faces.filter((row) => row[0] <= hit.triangle).pop();
    if (face[1] === "flat" && folded(item)) return { kind: "flat face", item, point: hit.point, way: new THREE.Vector3().fromArray(face[3]).transformDirection(world) };
    if (face[1] === "round" && folded(item)) return { kind: "round face", item, point: hit.point, radius: face[4], way: new THREE.Vector3().fromArray(face[3]).transformDirection(world), axis: new THREE.Vector3().fromArray(face[2]).applyMatrix4(world) };
    return { kind: "face", item, point: hit.point };
  }

  const folded = (item) => !item.shape || Brackets.page.folded === 1;
  const depthOf = (point) => point.clone().applyMatrix4(stage.camera.matrixWorldInverse).z * -1;
  const mm = () => 1;

  function share(a, b, x, y) {
    const dx = b.x - a.x, dy = b.y - a.y, long = dx * dx + dy * dy;
    return long ? Math.min(Math.max(((x - a.x) * dx + (y - a.y) * dy) / long, 0), 1) : 0;
  }

  // Where a pick truly is: pulling apart moves the picture, not the part.
  const truly = (pick) => pick.point.clone().sub(pick.item.offset);

  function said(pick) {
    const p = truly(pick);
    const at = `at ${p.toArray().map((v) => Brackets.figure(v, 2)).join(", ")}`;
    if (pick.kind === "circle") return `circle ⌀ ${Brackets.figure(2 * pick.radius, 2)}, centre ${at}`;
    if (pick.kind === "round face") return `round face ⌀ ${Brackets.figure(2 * pick.radius, 2)} ${at}`;
    return `${pick.kind} ${at}`;
  }

  measure.between = function (one, two) {
    const p = truly(one), q = truly(two), d = q.clone().sub(p);
    const [x, y, z] = d.toArray().map((v) => Brackets.figure(Math.abs(v), 2));
    const lines = [`${Brackets.length(d.length(), 2)}   (x ${x}  y ${y}  z ${z})`];
    const flats = [one, two].filter((pick) => pick.kind === "flat face");
    if (flats.length === 2) {
      const turn = one.way.angleTo(two.way);
      const off = Math.min(turn, Math.PI - turn);
      if (off < 1e-3) lines.push(`face to face, square across: ${Brackets.length(Math.abs(d.dot(one.way)), 2)}`);
      else lines.push(`faces at ${((off * 180) / Math.PI).toFixed(2)} deg`);
    } else if (flats.length === 1) {
      lines.push(`square to the face: ${Brackets.length(Math.abs(d.dot(flats[0].way)), 2)}`);
    }
    return lines.join("\n");
  };

  function show() {
    labels.extra = measure.picks.map((pick, i) => ({ at: pick.point, text: `${i + 1}: ${pick.kind}`, colour: "ink", strong: true }));
    let text = "";
    if (measure.on) {
      if (!measure.picks.length) text = "Measure: pick a corner, an edge, a circle or a face, then another.";
      else text = measure.picks.map((pick, i) => `${i + 1}: ${pick.item.name}: ${said(pick)}`).join("\n");
      if (measure.picks.length === 2) {
        text = `${measure.between(...measure.picks)}\n${text}`;
        const middle = measure.picks[0].point.clone().add(measure.picks[1].point).multiplyScalar(0.5);
        labels.extra.push({ at: middle, text: measure.between(...measure.picks).split("   ")[0], colour: "ink", strong: true });
      }
    }
    measure.text = text;
    readout.textContent = text;
    readout.hidden = !text;
    stage.dirty();
  }

  return measure;
};
