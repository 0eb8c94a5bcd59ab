"use strict";
// A path in or out of a bay, driven leg by leg as the check drives it: what moves, what is out by then, where the least
// gap is, and what is met.

Brackets.ways = function ({ parts, labels, say }) {
  const NEAR = 0.004;  // of the whole path: so near its place the least gap is drawn
  const ways = { list: [], chosen: null, share: 0 };
  let place = new THREE.Matrix4();

  ways.take = function (list) {
    ways.list = list || [];
    const was = ways.chosen && ways.chosen.name;
    ways.chosen = ways.list.find((one) => one.name === was) || null;
    show();
  };
  ways.choose = function (name) {
    ways.chosen = ways.list.find((one) => one.name === name) || null;
    ways.share = 0;
    show();
  };
  ways.set = function (share) { ways.share = share; show(); };

  // Every leg has as much of the slider; where on it the least gap is, null where there is none.
  ways.least = function () {
    const one = ways.chosen, at = one && one.least;
    return at ? (at.leg + at.along / one.legs[at.leg].length) / one.legs.length : null;
  };

  // Which leg, from 0, and how far along it, mm or degrees.
  ways.at = function () {
    const legs = ways.chosen.legs, leg = Math.min(Math.floor(ways.share * legs.length), legs.length - 1);
    return { leg, along: (ways.share * legs.length - leg) * legs[leg].length };
  };

  function driven(leg, along) {
    if (leg.by) return new THREE.Matrix4().makeTranslation(...leg.by.map((v) => (v * along) / leg.length));
    const through = new THREE.Vector3(...leg.through), turn = (Math.sign(leg.turn) * along * Math.PI) / 180;
    return new THREE.Matrix4().makeTranslation(...through.toArray())
      .multiply(new THREE.Matrix4().makeRotationAxis(new THREE.Vector3(...leg.axis), turn))
      .multiply(new THREE.Matrix4().makeTranslation(...through.negate().toArray()));
  }

  parts.hands.push((item) => (ways.chosen && ways.share > 0 && ways.chosen.moving.includes(item.thing) ? place : null));

  // "leg 2, 19.8 of 320.0 mm", as far as it is driven.
  ways.where = function () {
    if (!ways.chosen) return "";
    if (!ways.share) return "in place";
    const { leg, along } = ways.at(), { length, unit } = ways.chosen.legs[leg], of = ways.chosen.legs.length > 1 ? `leg ${leg + 1}, ` : "";
    return unit === "deg" ? `${of}${along.toFixed(1)} deg` : `${of}${Brackets.length(along, 1)}`;
  };

  function show() {
    const one = ways.chosen, fouled = new Set(), strokes = [], tags = [];
    place = new THREE.Matrix4();
    labels.layers.delete("way");
    if (one && ways.share > 0) {
      const { leg, along } = ways.at();
      for (let i = 0; i < leg; i++) place.premultiply(driven(one.legs[i], one.legs[i].length));
      place.premultiply(driven(one.legs[leg], along));
      const met = one.legs.findIndex((row) => row.free < row.length - 1e-6);
      const past = !one.out && one.pair.length && (leg > met || (leg === met && along > one.legs[met].free + 1e-6));
      if (past) for (const name of one.pair) fouled.add(name);
      const least = ways.least();
      if (least !== null && Math.abs(least - ways.share) <= NEAR) {
        const points = [one.least.p, one.least.q].map((p) => new THREE.Vector3(...p));
        strokes.push({ points, colour: one.least.short ? "bad" : "good", wide: 3 });
        tags.push({ at: points[0].clone().add(points[1]).multiplyScalar(0.5), text: one.least.said, colour: one.least.short ? "bad" : "good", strong: true });
      }
    }
    parts.fouled.way = fouled;
    const gone = one && ways.share > 0 ? new Set(one.gone) : new Set();
    parts.away.way = new Set(parts.items.filter((item) => gone.has(item.thing)));
    parts.driving.way = one !== null && ways.share > 0;
    if (strokes.length) labels.layers.set("way", { tags, strokes });
    say("way", one ? `${one.name}: ${one.said}${one.least ? `\nleast gap, ${one.pair.join(" | ")}: ${one.least.said}` : ""}` : "");
    parts.drive();
  }
  return ways;
};
