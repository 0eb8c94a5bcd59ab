"use strict";
// Turns the eye to what a row or a control speaks of.

Brackets.sights = function ({ page, stage, parts }) {
  // Looks at things where they stand now, or at a gap between two points.
  function seek(names, gap) {
    if (gap) { place({ things: names, gap }); return; }
    const box = parts.boxOf(names);
    if (!box.isEmpty()) stage.fit(box.expandByScalar(box.getSize(new THREE.Vector3()).length()));
  }
  // Looks at the place that a row speaks of: at its gap, its line across the picture; else at its things.
  function place(row) {
    if (!stage) return;
    const moved = row.moved === undefined ? null : page.worst.find((one) => one.moved === row.moved);
    const gap = row.gap || moved || (row.pair === undefined || row.pair === null ? null : page.header.pairs[row.pair]);
    const whole = parts.box(), size = whole.getSize(new THREE.Vector3()).length();
    if (!gap) {
      const box = row.level && row.things.length ? parts.boxOf(row.things) : new THREE.Box3();
      if (!box.isEmpty()) stage.fit(box.expandByScalar(0.03 * size));
      return;
    }
    const [p, q] = [new THREE.Vector3(...gap.p), new THREE.Vector3(...gap.q)];
    const box = new THREE.Box3().setFromPoints([p, q]).expandByScalar(Math.max(0.08 * size, p.distanceTo(q)));
    stage.from(Brackets.clearest(parts, p, q, stage.away(), row.things), box);
  }
  return { seek, place };
};
