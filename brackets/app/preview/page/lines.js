"use strict";
// Axes, bend lines, centres of mass and gap lines, with their words, as the parts stand: `state` says how.

Brackets.lines = function (stage, parts, state) {
  const C = Brackets.COLOURS, drawn = new THREE.Group();
  stage.scene.add(drawn);

  // The lines of one kind are one thing, kept: a new material for every change would take longer than the lines.
  const kept = new Map();
  const isGap = (key) => key === "gap" || key === "short";
  function begun(key) {
    const strong = isGap(key);
    const over = strong || key.startsWith("mark") || key.endsWith("Axis");
    const line = new THREE.Mesh(new THREE.BufferGeometry(), stage.line({ linewidth: strong ? 3 : 1.6, depthTest: !over }));
    line.material.color.copy(Brackets.linear({ markX: 0xb03a2e, markY: 0x2f7d3d, markZ: 0x2d5fa8 }[key] || C[key]));
    line.renderOrder = over ? 2000 : 860;
    kept.set(key, line);
    drawn.add(line);
    return line;
  }

  // Lines and labels: axes, bend lines, centres of mass, gaps.
  function lines() {
    const { header, apart, folded, rock, owns, rocking, allGaps, axes, pair, worst, carried, tried } = state();
    for (const line of drawn.children) line.visible = false;
    parts.tags = [];
    if (!header) return;
    const seen = (name) => !parts.units.has(name) || !parts.units.get(name).hidden;
    const shownThing = (name) => parts.items.some((item) => item.thing === name && item.node.visible) || !parts.items.some((item) => item.thing === name);
    const moved = (point, side, thing) => {
      const p = new THREE.Vector3().fromArray(point);
      if (owns.has(thing)) p.applyMatrix4(owns.get(thing));
      if (carried && side === "powertrain") p.applyMatrix4(carried);
      return side === "powertrain" ? p.applyMatrix4(rock) : p;
    };
    const groups = new Map();
    const put = (key, a, b) => groups.set(key, [...(groups.get(key) || []), ...a.toArray(), ...b.toArray()]);
    if (axes) {
      for (const line of header.lines) {
        if (!shownThing(line.thing) || apart > 0 || folded < 1 || parts.driving.path) continue;
        put(line.what === "bush axis" ? "bushAxis" : "boltAxis", moved(line.ends[0], line.side), moved(line.ends[1], line.side));
      }
      for (const item of parts.items) {
        if (!item.hinges || !item.node.visible) continue;
        const now = item.shape || (item.folding ? (item.shape = item.folding(folded)) : null);
        if (!now) continue;
        for (let i = 0; i < now.lines.length; i += 6) {
          const at = (k) => new THREE.Vector3().fromArray(now.lines, i + k).applyMatrix4(item.node.matrixWorld);
          put("bend", at(0), at(3));
        }
      }
      const size = parts.box().getSize(new THREE.Vector3()).length() / 40;
      if (apart === 0 && folded === 1 && !parts.driving.path) {
        for (const mark of header.marks) {
          if (!shownThing(mark.thing) || (carried && mark.thing !== "powertrain") || (parts.about === "bay" && !parts.picked.includes(mark.thing) && mark.thing !== "powertrain")) continue;
          const at = moved(mark.at, mark.side, mark.thing);
          ["markX", "markY", "markZ"].forEach((key, i) => {
            const way = new THREE.Vector3().setComponent(i, size);
            put(key, at.clone().sub(way), at.clone().add(way));
          });
          if (!carried) parts.tags.push({ at, text: `${mark.name === "centre of mass" ? "" : mark.name + " "}centre of mass, ${mark.kg.toFixed(mark.kg < 10 ? 2 : 1)} kg`, colour: "quiet" });
        }
      }
    }
    let told = 0;
    const gaps = rocking || apart > 0 || folded < 1 || carried ? [] : header.pairs;
    for (const gap of gaps) {
      const asked = gap === pair || gap.level || allGaps;
      if (!asked || (gap.state !== "clear" && gap.state !== "far" && gap !== pair && !gap.level)) continue;
      if (!seen(gap.a) || !seen(gap.b)) continue;
      if (allGaps && gap !== pair && !gap.level && (gap.spare > 30 || (told += 1) > 16)) continue;
      const [p, q] = [new THREE.Vector3().fromArray(gap.p), new THREE.Vector3().fromArray(gap.q)];
      const middle = p.clone().add(q).multiplyScalar(0.5);
      if (parts.clips.some((plane) => plane.distanceToPoint(middle) < 0)) continue;
      put(gap.level ? "short" : "gap", p, q);
      parts.tags.push({ at: middle, text: gap.said, colour: gap.level ? "bad" : "good", strong: gap === pair });
    }
    if (worst) {
      const [p, q] = [new THREE.Vector3().fromArray(worst.p), new THREE.Vector3().fromArray(worst.q)];
      put(worst.spare < 0 ? "short" : "gap", p, q);
      parts.tags.push({ at: p.clone().add(q).multiplyScalar(0.5), text: worst.said, colour: worst.spare < 0 ? "bad" : "good", strong: true });
    }
    tried.forEach((gap, i) => {
      if ((i && !gap.level) || !seen(gap.a) || !seen(gap.b)) return;
      const [p, q] = [new THREE.Vector3().fromArray(gap.p), new THREE.Vector3().fromArray(gap.q)];
      put(gap.level ? "short" : "gap", p, q);
      parts.tags.push({ at: p.clone().add(q).multiplyScalar(0.5), text: gap.said, colour: gap.level ? "bad" : "good", strong: !i });
    });
    for (const [key, points] of groups) {
      const line = kept.get(key) || begun(key);
      line.geometry.dispose();
      line.geometry = Brackets.wide(points);
      line.material.clippingPlanes = isGap(key) ? [] : parts.clips;
      line.visible = true;
    }
    stage.dirty();
  }
  return lines;
};
