"use strict";
// Where a slanted section lies is picked in the picture: three points, an edge it runs along, an edge it is square to.

Brackets.slant = function ({ stage, parts, section, measure, laid }) {
  const ASKS = {
    three: (n) => `Section: pick ${["three points", "two more points", "one more point"][n]}; of a hole its centre is taken.`,
    along: () => "Section: pick an edge; it runs along it, square to the face beside it. Of a hole or tube it holds the axis, of a face it is level with it.",
    square: () => "Section: pick an edge, a hole or a tube; it goes square across.",
  };
  const slant = { kind: "", picks: [] };
  let wrong = "";

  slant.begin = function (kind) {
    Object.assign(slant, { kind, picks: [] });
    wrong = "";
    measure.lend(take, () => wrong + ASKS[kind](slant.picks.length));
  };
  slant.end = function () {
    if (!slant.kind) return;
    slant.kind = "";
    measure.lend(null);
  };

  function take(pick, x, y) {
    slant.picks.push(pick);
    const found = slant.kind === "three" ? three() : slant.kind === "along" ? along(pick, x, y) : square(pick);
    if (found) { slant.end(); laid(section.lay(...found)); return; }
    measure.show(slant.picks);
  }

  // Its normal and a point of it; null where more is needed, or what was picked gives none.
  function three() {
    wrong = "";
    if (slant.picks.length < 3) return null;
    const [a, b, c] = slant.picks.map((pick) => pick.point);
    const normal = b.clone().sub(a).cross(c.clone().sub(a));
    if (normal.length() > 1e-6 * Math.max(1, b.distanceTo(a) * c.distanceTo(a))) return [normal.normalize(), a];
    return again("These three lie on one line. ");
  }

  function along(pick, x, y) {
    if (pick.kind === "flat face") return [pick.way.clone(), pick.point];
    if (pick.kind === "circle" || pick.kind === "round face") {
      const middle = pick.kind === "circle" ? pick.point : pick.axis, out = pick.on.clone().sub(middle);
      return [pick.way.clone().cross(out).normalize(), middle];
    }
    if (pick.kind !== "edge") return again("That is no straight edge. ");
    const way = pick.b.clone().sub(pick.a).normalize(), face = beside(x, y) || stage.away().normalize();
    const normal = way.clone().cross(face);
    return normal.length() > 1e-6 ? [normal.normalize(), pick.a] : again("It is seen end on: turn the picture. ");
  }

  function square(pick) {
    if (pick.kind === "edge") return [pick.b.clone().sub(pick.a).normalize(), pick.on];
    if (pick.way && pick.kind !== "flat face") return [pick.way.clone(), pick.on];
    return again("That is no edge. ");
  }

  function again(why) {
    wrong = why;
    slant.picks = [];
    return null;
  }

  // The way out of the flat face under the pointer, where there is one.
  function beside(x, y) {
    const hit = parts.under(stage.ray(x, y), false);
    const row = hit && hit.item.data.faces.filter((one) => one[0] <= hit.triangle).pop();
    return row && row[1] === "flat" ? new THREE.Vector3().fromArray(row[3]).transformDirection(hit.item.node.matrixWorld) : null;
  }
  return slant;
};
