"use strict";
// A path in or out of a bay, driven leg by leg as the check drives it: what moves, what is out by then, where the least
// gap is, and what is met.

Brackets.paths = function ({ parts, labels, say }) {
  const NEAR = 0.004;  // of the whole path: so near its place the least gap is drawn
  const paths = { list: [], chosen: null, share: 0 };
  let place = new THREE.Matrix4();

  paths.take = function (list) {
    paths.list = list || [];
    const was = paths.chosen && paths.chosen.name;
    paths.chosen = paths.list.find((one) => one.name === was) || null;
    if (paths.chosen || was) show();
  };
  paths.choose = function (name) {
    paths.chosen = paths.list.find((one) => one.name === name) || null;
    paths.share = 0;
    show();
  };
  paths.set = function (share) { paths.share = share; show(); };

  // Every leg has as much of the slider; where on it the least gap is, null where there is none.
  paths.least = function () {
    const one = paths.chosen, at = one && one.least;
    return at ? (at.leg + at.along / one.legs[at.leg].length) / one.legs.length : null;
  };

  // Which leg, from 0, and how far along it, mm or degrees.
  paths.at = function () {
    const legs = paths.chosen.legs, leg = Math.min(Math.floor(paths.share * legs.length), legs.length - 1);
    return { leg, along: (paths.share * legs.length - leg) * legs[leg].length };
  };

  function driven(leg, along) {
    if (leg.by) return new THREE.Matrix4().makeTranslation(...leg.by.map((v) => (v * along) / leg.length));
    const through = new THREE.Vector3(...leg.through), turn = (Math.sign(leg.turn) * along * Math.PI) / 180;
    return new THREE.Matrix4().makeTranslation(...through.toArray())
      .multiply(new THREE.Matrix4().makeRotationAxis(new THREE.Vector3(...leg.axis), turn))
      .multiply(new THREE.Matrix4().makeTranslation(...through.negate().toArray()));
  }

  parts.hands.push((item) => (paths.chosen && paths.share > 0 && paths.chosen.moving.includes(item.thing) ? place : null));

  // "leg 2, 19.8 of 320.0 mm", as far as it is driven.
  paths.where = function () {
    if (!paths.chosen) return "";
    if (!paths.share) return "in place";
    const { leg, along } = paths.at(), { length, unit } = paths.chosen.legs[leg], of = paths.chosen.legs.length > 1 ? `leg ${leg + 1}, ` : "";
    return unit === "deg" ? `${of}${along.toFixed(1)} deg` : `${of}${Brackets.length(along, 1)}`;
  };

  function show() {
    const one = paths.chosen, fouled = new Set(), strokes = [], tags = [];
    place = new THREE.Matrix4();
    labels.layers.delete("path");
    if (one && paths.share > 0) {
      const { leg, along } = paths.at();
      for (let i = 0; i < leg; i++) place.premultiply(driven(one.legs[i], one.legs[i].length));
      place.premultiply(driven(one.legs[leg], along));
      const met = one.legs.findIndex((row) => row.free < row.length - 1e-6);
      const past = !one.out && one.pair.length && (leg > met || (leg === met && along > one.legs[met].free + 1e-6));
      if (past) for (const name of one.pair) fouled.add(name);
      const least = paths.least();
      if (least !== null && Math.abs(least - paths.share) <= NEAR) {
        const points = [one.least.p, one.least.q].map((p) => new THREE.Vector3(...p));
        strokes.push({ points, colour: one.least.short ? "bad" : "good", wide: 3 });
        tags.push({ at: points[0].clone().add(points[1]).multiplyScalar(0.5), text: one.least.said, colour: one.least.short ? "bad" : "good", strong: true });
      }
    }
    parts.fouled.path = fouled;
    const gone = one && paths.share > 0 ? new Set(one.gone) : new Set();
    parts.away.path = new Set(parts.items.filter((item) => gone.has(item.thing)));
    parts.driving.path = one !== null && paths.share > 0;
    if (strokes.length) labels.layers.set("path", { tags, strokes });
    say("path", one ? `${one.name}: ${one.said}${one.least ? `\nleast gap, ${one.pair.join(" | ")}: ${one.least.said}` : ""}` : "");
    parts.drive();
  }
  return paths;
};
