"use strict";
// What the powertrain may do and what moves by itself: one way at a time, or to the worst place of a row. `still` puts
// back what others move.

Brackets.rocking = function ({ page, parts, still }) {
  const { element } = Brackets;
  const $ = (id) => document.getElementById(id);
  const WAYS = [["roll", 0], ["pitch", 1], ["yaw", 2], ["fore and aft", 0], ["sideways", 1], ["up and down", 2]];
  function moves() {
    $("rock-strip").hidden = !page.moves && !page.movers.length && !page.modes.length;
    if ($("rock-strip").hidden) { parts.still(); return; }
    const select = $("rock-way");
    const was = select.value;
    const options = !page.moves ? [] : WAYS.map(([name, i], n) => [name, n < 3 ? [page.moves.turns[i].low, page.moves.turns[i].high] : page.moves.travel[i], n])
      .filter(([, range]) => range[0] !== 0 || range[1] !== 0)
      .map(([name, , n]) => [String(n), name]);
    page.movers.forEach((one, i) => {
      if (one.turn[0] || one.turn[1]) options.push([`turn${i}`, `${one.thing} turns`]);
      if (one.travel[0] || one.travel[1]) options.push([`slide${i}`, `${one.thing} slides`]);
    });
    page.modes.forEach((one, i) => options.push([`mode${i}`, `mode ${i + 1}: ${one.name}`]));
    for (const row of page.worst) options.push([`w${row.moved}`, `worst ${row.moved + 1}: ${row.a}, ${row.b}: spare ${row.left}`]);
    select.replaceChildren(...options.map(([value, name]) => element("option", name, { value })));
    if (options.some(([value]) => value === was)) select.value = was;
    rock();
  }
  function toWorst(index) {
    const row = page.worst.find((one) => one.moved === index);
    if (!row) { toRest(); return; }  // of a bush that gives way alone: nothing that stands here moves with it
    $("rock-way").value = `w${index}`;
    $("rock").value = 100;
    rock();
  }
  function toRest() {
    if ($("rock").value === "0") return;
    $("rock").value = 0;
    rock();
  }
  function rock() {
    const share = $("rock").value / 100;
    const way = $("rock-way").value;
    const angles = [0, 0, 0], travel = [0, 0, 0], owns = new Map();
    const part = ([low, high]) => (share < 0 ? -share * low : share * high);
    const out = $("rock-out");
    if (!share || way === "") {
      Brackets.write(out, "at rest");
      parts.rock(new THREE.Matrix4(), null);
      return;
    }
    still();
    let worst = null, mode = null;
    if (way.startsWith("w")) {
      worst = page.worst.find((one) => `w${one.moved}` === way);
      worst.angles.forEach((a, i) => { angles[i] = a * Math.abs(share); });
      worst.travel.forEach((t, i) => { travel[i] = t * Math.abs(share); });
      for (const one of page.movers) if (one.thing in worst.own) owns.set(one.thing, carried(one, ...worst.own[one.thing].map((v) => v * Math.abs(share))));
      out.textContent = Math.abs(share) === 1 ? "worst place" : `${Math.round(Math.abs(share) * 100)} %`;
      if (Math.abs(share) !== 1) worst = {};
    } else if (way.startsWith("mode")) {
      const { turn, about, shift } = page.modes[Number(way.slice(4))], far = Math.hypot(...turn);
      mode = aside(turned(far ? turn.map((v) => v / far) : [0, 0, 1], (far * share * 180) / Math.PI), about, shift.map((v) => v * share));
      out.textContent = "shape, no size";
    } else if (way.startsWith("turn") || way.startsWith("slide")) {
      const turns = way.startsWith("turn"), one = page.movers[Number(way.replace(/^\D+/, ""))];
      const value = part(turns ? one.turn : one.travel);
      owns.set(one.thing, turns ? carried(one, value, 0) : carried(one, 0, value));
      out.textContent = turns ? `${value.toFixed(1)} deg` : Brackets.length(value, 1);
    } else {
      const n = Number(way), i = WAYS[n][1];
      const value = part(n < 3 ? [page.moves.turns[i].low, page.moves.turns[i].high] : page.moves.travel[i]);
      if (n < 3) angles[i] = value;
      else travel[i] = value;
      out.textContent = n < 3 ? `${value.toFixed(1)} deg` : Brackets.length(value, 1);
    }
    const whole = new THREE.Matrix4();
    if (mode) whole.copy(mode);
    else if (page.moves) {
      page.moves.turns.forEach((turn, i) => whole.premultiply(turned(turn.axis, angles[i])));
      whole.copy(aside(whole, page.moves.about, travel));
    }
    for (const bar of page.bars) for (const thing of bar.things) owns.set(thing, between(bar, whole));
    parts.rock(whole, worst || {}, owns);
  }
  const turned = (axis, degrees) => new THREE.Matrix4().makeRotationAxis(new THREE.Vector3(...axis), (degrees * Math.PI) / 180);
  // A turn about a point, then a travel.
  function aside(turn, about, travel) {
    const whole = turn.clone().multiply(new THREE.Matrix4().makeTranslation(...about.map((v) => -v)));
    return whole.premultiply(new THREE.Matrix4().makeTranslation(...about.map((v, i) => v + travel[i])));
  }
  // A link: turned by the least to point at the bush centre that the engine carries, what is missing shared by both.
  function between(bar, whole) {
    const fixed = new THREE.Vector3(...bar.fixed), moving = new THREE.Vector3(...bar.moving), there = moving.clone().applyMatrix4(whole);
    const way = (to) => to.clone().sub(fixed).normalize(), middle = (to) => to.clone().add(fixed).multiplyScalar(0.5);
    const turn = new THREE.Matrix4().makeRotationFromQuaternion(new THREE.Quaternion().setFromUnitVectors(way(moving), way(there)));
    const off = middle(there).sub(middle(moving).applyMatrix4(turn));
    return turn.premultiply(new THREE.Matrix4().makeTranslation(off.x, off.y, off.z));
  }
  const carried = (one, degrees, mm) => aside(turned(one.axis, degrees), one.about, one.along.map((v) => v * mm));

  $("rock").addEventListener("input", rock);
  $("rock-way").addEventListener("change", () => { if ($("rock").value === "0") $("rock").value = 100; rock(); });
  return { moves, toWorst, toRest, rock };
};
