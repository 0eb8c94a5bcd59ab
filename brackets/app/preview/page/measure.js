"use strict";
// Measuring between two picks: what is under the pointer is shown before it is picked, the dimension drawn between both.

Brackets.measure = function (stage, parts, labels, say, snap) {
  const SIDES = 72;
  const measure = { on: false, picks: [], text: "" };
  let near = null, owner = null, told = () => "";

  measure.set = function (on) {
    measure.on = on;
    measure.picks = [];
    near = owner = null;
    labels.cursor = null;
    show();
  };

  measure.click = function (x, y) {
    const pick = snap(x, y);
    if (!pick) return;
    if (owner) { owner(pick, x, y); return; }
    if (measure.picks.length === 2) measure.picks = [];
    measure.picks.push(pick);
    show();
  };

  measure.hover = function (x, y) {
    near = x === null ? null : snap(x, y);
    draw();
  };

  measure.again = () => { measure.picks = []; show(); };

  // Another asks for picks: `taken` gets each, `says` what stands in the readout; null: measuring has them again.
  measure.lend = function (taken, says) {
    owner = taken; told = says || (() => "");
    measure.picks = [];
    near = null;
    show();
  };
  measure.asked = () => measure.on || owner !== null;
  measure.show = (picks) => { measure.picks = picks; show(); };

  // Where a pick truly is: pulling apart moves the picture, not the part.
  const CARRIED = ["point", "a", "b", "axis"];
  const truly = (pick) => Object.fromEntries(Object.entries(pick).map(([key, v]) => [key, CARRIED.includes(key) && v ? v.clone().sub(pick.item.offset) : v]));
  measure.between = (one, two) => Brackets.dimension(truly(one), truly(two));

  function said(pick) {
    const it = truly(pick), at = `at ${it.point.toArray().map((v) => Brackets.figure(v, 2)).join(", ")}`;
    const round = pick.radius === undefined ? "" : ` ⌀ ${Brackets.figure(2 * pick.radius, 2)}`;
    if (pick.kind === "circle") return pick.closed === false ? `arc r ${Brackets.figure(pick.radius, 2)}, centre ${at}` : `circle${round}, centre ${at}`;
    if (pick.kind === "round face") return `round face${round} ${at}`;
    if (pick.kind === "edge") return `edge ${Brackets.length(pick.a.distanceTo(pick.b), 2)} long ${at}`;
    return `${pick.kind} ${at}`;
  }
  measure.said = said;

  // ------------------------------------------------------------------ what is drawn
  // The outline of a pick: an edge, a circle with its centre, an axis, a point.
  function outline(pick, colour) {
    const stroke = (points, more) => ({ points, colour, wide: 2.5, ...more });
    if (pick.kind === "edge") return [stroke([pick.a, pick.b])];
    if (pick.kind === "circle") {
      const [u, v] = square(pick.way), points = [];
      for (let i = 0; i <= SIDES; i++) {
        const turn = (2 * Math.PI * i) / SIDES;
        points.push(pick.point.clone().addScaledVector(u, pick.radius * Math.cos(turn)).addScaledVector(v, pick.radius * Math.sin(turn)));
      }
      const tick = (w) => stroke([pick.point.clone().addScaledVector(w, -0.3 * pick.radius), pick.point.clone().addScaledVector(w, 0.3 * pick.radius)], { wide: 1 });
      return [...(pick.closed === false ? [stroke([pick.point, pick.on], { wide: 1 })] : [stroke(points)]), tick(u), tick(v)];
    }
    if (pick.kind === "round face") {
      const half = pick.way.clone().multiplyScalar(2 * pick.radius);
      return [stroke([pick.axis.clone().sub(half), pick.axis.clone().add(half)], { wide: 1.5, dash: [9, 3, 2, 3] })];
    }
    return [stroke([pick.point, pick.point], { dot: true })];
  }
  function square(way) {
    const u = Math.abs(way.z) < 0.9 ? new THREE.Vector3(0, 0, 1).cross(way) : new THREE.Vector3(1, 0, 0).cross(way);
    u.normalize();
    return [u, way.clone().cross(u)];
  }

  function dimension(made) {
    const strokes = made.leads.map((points) => ({ points, colour: "ink", wide: 1, dash: [4, 3] }));
    let at = null;
    if (made.span) {
      strokes.push({ points: made.span, colour: "ink", wide: 1.5, arrows: true });
      at = made.span[0].clone().add(made.span[1]).multiplyScalar(0.5);
    } else if (made.arc) {
      const [vertex, u, v] = made.arc, turn = u.angleTo(v), r = arcRadius(vertex), points = [];
      const w = v.clone().addScaledVector(u, -v.dot(u)).normalize();
      for (let i = 0; i <= 24; i++) points.push(vertex.clone().addScaledVector(u, r * Math.cos((turn * i) / 24)).addScaledVector(w, r * Math.sin((turn * i) / 24)));
      const rays = [u, v].map((way) => ({ points: [vertex, vertex.clone().addScaledVector(way, 1.15 * r)], colour: "ink", wide: 1, dash: [4, 3] }));
      strokes.push(...rays, { points, colour: "ink", wide: 1.5, arrows: true });
      at = points[12];
    }
    return [strokes, at];
  }
  function arcRadius(vertex) {
    const far = measure.picks.map((pick) => pick.point.distanceTo(vertex)).filter((r) => r > 1e-3);
    return far.length ? Math.min(...far) * 0.6 : 20;
  }

  function draw() {
    labels.strokes = near && measure.asked() ? outline(near, "good") : [];
    labels.extra = measure.picks.map((pick, i) => ({ at: pick.point, text: `${i + 1}`, colour: "ink", strong: true }));
    for (const pick of measure.picks) labels.strokes.push(...outline(pick, "mark"));
    if (measure.picks.length === 2 && !owner) {
      const away = measure.picks[0].item.offset, made = measure.between(...measure.picks);
      const [strokes, at] = away.equals(measure.picks[1].item.offset) ? dimension(shifted(made, away)) : [[], null];
      labels.strokes.push(...strokes);
      const middle = at || measure.picks[0].point.clone().add(measure.picks[1].point).multiplyScalar(0.5);
      if (made.label) labels.extra.push({ at: middle, text: made.label, colour: "ink", strong: true });
    }
    stage.dirty();
  }
  // Back to where it is drawn, of what is pulled apart.
  const shifted = (made, by) => ({
    ...made,
    span: made.span && made.span.map((p) => p.clone().add(by)),
    leads: made.leads.map((ends) => ends.map((p) => p.clone().add(by))),
    arc: made.arc && [made.arc[0].clone().add(by), made.arc[1], made.arc[2]],
  });

  function show() {
    let text = "";
    if (owner) text = told();
    else if (measure.on) {
      text = measure.picks.length ? measure.picks.map((pick, i) => `${i + 1}: ${pick.item.name}: ${said(pick)}`).join("\n")
        : "Measure: pick a corner, an edge, a circle or a face, then another.";
      if (measure.picks.length === 2) text = `${measure.between(...measure.picks).lines.join("\n")}\n${text}`;
    }
    measure.text = text;
    say("measure", text);
    draw();
  }

  return measure;
};
