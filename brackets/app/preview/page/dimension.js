"use strict";
// What lies between two picks, as a drawing says it: square to edges, axes and faces where they run alike, else the
// angle, and the nearest distance of lines that pass each other. mm and degrees; a pick is what snap.js makes.

Brackets.ALIKE = 1e-6;  // sine under which two directions are one: far more than rounding, far less than is read off

// {lines: what is said, label: the one beside the dimension, span: [p, q] of it or null, leads: lines from picks to
// its ends, arc: [vertex, towards one, towards the other] or null}.
Brackets.dimension = function (one, two) {
  const V = (p) => p.clone();
  const say = (mm) => Brackets.length(Math.abs(mm), 2), degrees = (turn) => (turn * 180) / Math.PI;
  const made = { lines: [], label: "", span: null, leads: [], arc: null };
  const line = (text) => { made.lines.push(text); };
  // As a line through p along d, where it has one; `what` it is called; only edges have ends.
  const lineOf = (k) => {
    if (k.kind === "edge") return { p: k.a, d: k.b.clone().sub(k.a).normalize(), what: "edge", ends: [k.a, k.b] };
    if (k.kind === "circle") return { p: k.point, d: k.way, what: "axis", r: k.closed === false ? 0 : k.radius, centre: true };
    if (k.kind === "round face") return { p: k.axis, d: k.way, what: "axis", r: k.radius };
    return null;
  };
  const foot = (l, p) => l.p.clone().addScaledVector(l.d, p.clone().sub(l.p).dot(l.d));
  const sine = (u, v) => u.clone().cross(v).length();
  const acute = (u, v) => { const s = sine(u, v); return Math.atan2(s, Math.abs(u.dot(v))); };

  function across(text, p, q, leads) {
    made.span = [p, q];
    made.leads = leads.filter(([from, to]) => from.distanceTo(to) > 1e-6);
    made.label = say(p.distanceTo(q));
    line(`${text}: ${made.label}`);
  }
  // The angle that is drawn, from one pick to the other, seen from where they meet, and what is left of 180.
  function angle(text, vertex, u, v) {
    const turn = degrees(u.angleTo(v)), digits = turn < 0.01 || turn > 179.99 ? 6 : 2;
    made.arc = [vertex, u, v];
    made.label = `${turn.toFixed(digits)} deg`;
    const other = Math.abs(turn - 90) < 0.005 ? "" : `, or ${(180 - turn).toFixed(digits)}`;
    line(`${text}: ${made.label}${other}`);
  }
  // The lead from an edge to a point of its line beyond its end.
  const reach = (l, p) => {
    if (!l.ends) return [[V(l.p), p]];
    const t = p.clone().sub(l.ends[0]).dot(l.d), long = l.ends[0].distanceTo(l.ends[1]);
    return t < 0 ? [[V(l.ends[0]), p]] : t > long ? [[V(l.ends[1]), p]] : [];
  };
  const towards = (from, p, flat) => {
    const u = p.clone().sub(from);
    if (flat) u.addScaledVector(flat, -u.dot(flat));
    return u.normalize();
  };

  function faces() {
    if (sine(one.way, two.way) < Brackets.ALIKE) {
      const off = two.point.clone().sub(one.point).dot(one.way);
      if (Math.abs(off) < 1e-6) { line("faces on one plane"); return; }
      const q = one.point.clone().addScaledVector(one.way, off);
      across("face to face, square across", V(one.point), q, [[V(two.point), q]]);
      return;
    }
    const along = one.way.clone().cross(two.way).normalize();
    // where the two faces meet, level with the middle of both picks
    const middle = one.point.clone().add(two.point).multiplyScalar(0.5);
    const dot = one.way.dot(two.way), h = [one, two].map((k) => k.point.clone().sub(middle).dot(k.way));
    const share = 1 - dot * dot;
    const vertex = middle.addScaledVector(one.way, (h[0] - dot * h[1]) / share).addScaledVector(two.way, (h[1] - dot * h[0]) / share);
    angle("faces at", vertex, towards(vertex, one.point, along), towards(vertex, two.point, along));
  }

  function faceAndLine(face, l, other) {
    const lean = Math.asin(Math.min(1, Math.abs(face.way.dot(l.d))));
    const from = l.centre ? V(l.p) : V(other.kind === "edge" ? other.point : l.p);
    const off = from.clone().sub(face.point).dot(face.way), q = from.clone().addScaledVector(face.way, -off);
    if (Math.sin(lean) < Brackets.ALIKE) {
      across(`${l.centre ? "centre" : l.what} to face, square to it`, from, q, [[V(face.point), q]]);
      if (l.r && Math.abs(off) > l.r) line(`its rim to the face: ${say(Math.abs(off) - l.r)}`);
      return;
    }
    if (l.centre && Math.abs(off) < 1e-6) line("centre in the face");
    else if (l.centre) across("centre to face, square to it", from, q, [[V(face.point), q]]);
    const square = Math.cos(lean) < Brackets.ALIKE;
    if (square) { line(`${l.what} square to the face`); if (!made.label) made.label = "90.00 deg"; return; }
    if (l.centre) { line(`${l.what} at ${degrees(lean).toFixed(2)} deg to the face`); return; }
    const t = face.point.clone().sub(l.p).dot(face.way) / l.d.dot(face.way), meet = l.p.clone().addScaledVector(l.d, t);
    const u = towards(meet, from), flat = u.clone().addScaledVector(face.way, -u.dot(face.way)).normalize();
    angle(`${l.what} to face at`, meet, u, flat);
  }

  function lines(l, m) {
    const [name, both] = l.ends && m.ends ? ["edge to edge", "edges"] : l.ends || m.ends ? ["axis to edge", "axis and edge"] : ["axis to axis", "axes"];
    if (sine(l.d, m.d) >= Brackets.ALIKE) { crossing(l, m, name, both); return; }
    const p = l.ends && m.ends ? overlap(l, m) : l.ends ? foot(l, m.p) : V(l.p), q = foot(m, p);
    if (p.distanceTo(q) > 1e-6) {
      across(`${name}, square across`, p, q, [...reach(l, p), ...reach(m, q)]);
      rims(l, m, p.distanceTo(q));
      return;
    }
    line(l.ends && m.ends ? "edges on one line" : "on one axis");
    if (l.centre && m.centre) across("apart along it", V(l.p), V(m.p), []);
  }

  // Two lines that do not run alike: where they meet, or pass each other nearest; of a hole and an edge, its centre.
  function crossing(l, m, name, both) {
    const n = l.d.clone().cross(m.d), between = m.p.clone().sub(l.p), share = n.lengthSq();
    const p = l.p.clone().addScaledVector(l.d, between.clone().cross(m.d).dot(n) / share);
    const q = m.p.clone().addScaledVector(m.d, between.clone().cross(l.d).dot(n) / share);
    const away = p.distanceTo(q), turn = acute(l.d, m.d), square = Math.abs(turn - Math.PI / 2) < Brackets.ALIKE;
    const leads = [...reach(l, p), ...reach(m, q)], at = `at ${degrees(turn).toFixed(2)} deg`;
    const circle = [l, m].find((k) => k.centre), edge = [l, m].find((k) => k.ends);
    if (circle && edge) {
      const q = foot(edge, circle.p), off = q.distanceTo(circle.p);
      across("centre to edge, square to it", V(circle.p), q, reach(edge, q));
      if (!square) { line(`${both} ${at}`); return; }
      if (off - away > 0.005) line(`seen along its axis: ${say(away)}`);
      rims(l, m, away);
    } else if (away < 1e-6) {
      const to = (k, pick) => k.d.clone().multiplyScalar((k.ends ? pick.point : k.p).clone().sub(p).dot(k.d) < 0 ? -1 : 1);
      angle(`${both} meet at`, p, to(l, one), to(m, two));
      made.leads = leads;
    } else {
      across(edge && square && both !== "edges" ? `${name}, square across` : `${both} pass each other, nearest`, p, q, leads);
      line(`${both} ${at}`);
      if (!square) made.label = `${made.label}, ${degrees(turn).toFixed(2)} deg`;
      rims(l, m, away);
    }
  }

  // How much metal is left between two bores, or from a bore to an edge; of an arc nothing is said.
  function rims(l, m, away) {
    const less = (l.r || 0) + (m.r || 0);
    if (!less) return;
    const name = l.r && m.r ? "rim to rim" : "rim to edge";
    if (away > less) line(`${name}: ${say(away - less)}`);
  }
  // Where a dimension across two edges stands best: in the middle of what both run along, else of the first.
  function overlap(l, m) {
    const along = (p) => p.clone().sub(l.p).dot(l.d), own = l.ends.map(along), other = m.ends.map(along);
    const low = Math.max(Math.min(...own), Math.min(...other)), high = Math.min(Math.max(...own), Math.max(...other));
    const at = low <= high ? (low + high) / 2 : (own[0] + own[1]) / 2;
    return l.p.clone().addScaledVector(l.d, at);
  }

  function pointAnd(point, l) {
    const q = foot(l, point);
    across(`${l.what === "edge" ? "to the edge" : "to the axis"}, square to it`, V(point), q, reach(l, q));
    if (l.r) { const away = point.distanceTo(q); line(away > l.r ? `to its rim: ${say(away - l.r)}` : `inside its rim by ${say(l.r - away)}`); }
  }

  const flats = [one, two].filter((k) => k.kind === "flat face"), l = lineOf(one), m = lineOf(two);
  if (flats.length === 2) faces();
  else if (flats.length === 1) {
    const other = flats[0] === one ? two : one, o = lineOf(other);
    if (o) faceAndLine(flats[0], o, other);
    else {
      const off = other.point.clone().sub(flats[0].point).dot(flats[0].way), q = other.point.clone().addScaledVector(flats[0].way, -off);
      across("square to the face", V(other.point), q, [[V(flats[0].point), q]]);
    }
  } else if (l && m) lines(l, m);
  else if (l || m) pointAnd(l ? two.point : one.point, l || m);
  else across("straight", V(one.point), V(two.point), []);

  const d = two.point.clone().sub(one.point), [x, y, z] = d.toArray().map((v) => Brackets.figure(Math.abs(v), 2));
  const named = (k) => (k.kind === "circle" ? "centre" : "pick");
  line(`${named(one)} to ${named(two)}: ${say(d.length())}   (x ${x}  y ${y}  z ${z})`);
  return made;
};
