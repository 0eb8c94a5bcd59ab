"use strict";
// Everything that stands in the scene: pieces, bought things, keep-outs, what fouls; axes, centres and gap lines.
// A "unit" is what is picked and hidden as one: a piece of a lone part, a whole thing of a bay.

Brackets.COLOURS = {
  pieces: [0x6f8ea3, 0xb58a5a, 0x7f9a6e, 0x9a7fa0, 0xa3756c, 0x5f8f8c, 0x9c9460, 0x7a82ad],
  chassis: 0x6f8ea3, powertrain: 0xb58a5a, bush: 0x45474a, sleeve: 0xb9bdbf, end: 0xb9bdbf, bolt: 0x8d9194,
  keepChassis: 0x7e8f86, keepPowertrain: 0x9a8a78, foul: 0xd21f1f, picked: 0xe0701a, gap: 0x2f7d5d, short: 0xd21f1f,
  bushAxis: 0x2d6fa8, boltAxis: 0x2f7d5d, bend: 0xb3470b,
};

// What is measured and slid here, of what is typed in inches in inches, where there is room with the mm in brackets.
// Gaps and what is spare come as text from the server, which alone rounds them.
Brackets.inch = false;
Brackets.figure = (mm, digits) => (Brackets.inch ? (mm / 25.4 + 0).toFixed(digits + 1) : mm.toFixed(digits));
Brackets.length = (mm, digits) => (Brackets.inch ? `${Brackets.figure(mm, digits + 1)} in (${mm.toFixed(digits)} mm)` : `${mm.toFixed(digits)} mm`);

Brackets.parts = function (stage) {
  const C = Brackets.COLOURS;
  const solid = new THREE.Group();
  stage.scene.add(solid);
  const geometries = new Map();
  const parts = { items: [], units: new Map(), picked: [], clips: [], about: "recipe", changed: [], meshes: new Map(), theme: "light" };
  // What others do to the parts, each under its own name: where an item is carried, last of all; names of things that
  // foul; items that are out of the way; whether anything is off its place.
  Object.assign(parts, { hands: [], fouled: {}, away: {}, driving: {} });
  const any = (sets, one) => Object.values(sets).some((set) => set.has(one));
  const driving = () => Object.values(parts.driving).some(Boolean);
  let header = null, apart = 0, folded = 1, rock = new THREE.Matrix4(), owns = new Map(), rocking = false, allGaps = false, axes = true, pair = null, worst = null;
  let carried = null, tried = [];  // where the engine is moved to by hand, and the gaps measured there

  const seenThrough = (one) => one.what === "keep-out" && !one.scan;  // of a scan only the shading tells the shape

  parts.unitOf = (item) => (parts.about === "recipe" && item.what !== "foul" ? item.name : item.thing);

  parts.show = function (next, meshes) {
    header = next;
    parts.about = next.about;
    for (const [key, mesh] of meshes) parts.meshes.set(key, mesh);
    const before = parts.items;
    parts.items = [];
    add(next.items, before);
    for (const item of before) drop(item);
    pair = worst = null;
    settle();
  };

  parts.more = function (next, meshes) {
    for (const [key, mesh] of meshes) parts.meshes.set(key, mesh);
    header = { ...header, pairs: next.pairs };
    add(next.items, []);
    settle();
  };

  function settle() {
    const used = new Set(parts.items.map((item) => item.mesh));
    for (const key of [...parts.meshes.keys()]) if (!used.has(key)) parts.meshes.delete(key);
    for (const [key, kept] of [...geometries]) {
      if (used.has(key)) continue;
      kept.solid.dispose(); kept.edge.dispose();
      geometries.delete(key);
    }
    if (folded !== 1) parts.fold(folded);
    place();
    paint();
    lines();
  }

  function drop(item) {
    solid.remove(item.node);
    item.face.material.dispose();
    stage.drop(item.edges.material);
    if (item.own) { item.face.geometry.dispose(); item.edges.geometry.dispose(); }
  }

  // What was there stays and is given its new shape: a new material would have its programs compiled anew.
  function taken(row, before) {
    const i = before.findIndex((one) => one.name === row.name && one.thing === row.thing && one.what === row.what);
    if (i < 0) return null;
    const [old] = before.splice(i, 1);
    if (old.own) { old.face.geometry.dispose(); old.edges.geometry.dispose(); }
    return old;
  }

  function fresh(row) {
    const foul = row.what === "foul";
    const face = new THREE.Mesh(undefined, new THREE.MeshLambertMaterial({
      polygonOffset: true, polygonOffsetFactor: foul ? -2 : 1, polygonOffsetUnits: foul ? -2 : 1,
    }));
    const edges = new THREE.Mesh(undefined, stage.line({ linewidth: row.what === "keep-out" || parts.about === "bay" ? 1 : 1.6 }));
    const node = new THREE.Group();
    node.matrixAutoUpdate = false;
    node.add(face, edges);
    solid.add(node);
    return { face, edges, node, caps: null };
  }

  function geometry(key) {
    if (!geometries.has(key)) geometries.set(key, built(parts.meshes.get(key)));
    return geometries.get(key);
  }

  function built(mesh, changed) {
    const { positions, normals, segments } = changed || mesh;
    const made = new THREE.BufferGeometry();
    made.setAttribute("position", new THREE.BufferAttribute(positions, 3));
    made.setAttribute("normal", new THREE.InterleavedBufferAttribute(new THREE.InterleavedBuffer(normals, 4), 3, 0, true));
    made.setIndex(new THREE.BufferAttribute(mesh.triangles, 1));
    made.computeBoundingBox();
    made.computeBoundingSphere();
    return { solid: made, edge: Brackets.wide(segments) };
  }

  function add(items, before) {
    const groups = new Map();
    for (const item of items) groups.set(item.thing, [...(groups.get(item.thing) || []), item]);
    items.forEach((row, i) => {
      const { face, edges, node, caps } = taken(row, before) || fresh(row);
      const item = { ...row, unit: parts.unitOf(row), own: false, index: i, face, edges, node, caps };
      const mesh = parts.meshes.get(item.mesh);
      item.data = mesh;
      item.placed = new THREE.Matrix4().fromArray(item.place);
      const shared = geometry(item.mesh);
      face.geometry = shared.solid;
      edges.geometry = shared.edge;
      edges.visible = mesh.segments.length > 0;
      item.folding = item.hinges && mesh.cornerZones ? Brackets.fold(item.hinges, mesh) : null;
      item.away = away(item, groups.get(item.thing), mesh);
      item.offset = new THREE.Vector3();
      parts.items.push(item);
    });
    const were = parts.units;
    parts.units = new Map();
    for (const item of parts.items) {
      const was = were.get(item.unit);
      if (!parts.units.has(item.unit)) {
        parts.units.set(item.unit, { name: item.unit, what: item.what, side: item.side, items: [], hidden: was ? was.hidden : false, scan: !!item.scan, through: was ? was.through : seenThrough(item) });
      }
      parts.units.get(item.unit).items.push(item);
    }
  }

  // The way a piece is pulled out of its weldment, mm at full pull: away from the heaviest piece, which stays.
  function away(item, group, mesh) {
    if (item.what === "keep-out" || item.what === "foul" || group.length < 2) return new THREE.Vector3();
    const stays = group.reduce((most, one) => (one.kg > most.kg ? one : most));
    if (item.name === stays.name) return new THREE.Vector3();
    const middle = new THREE.Vector3().fromArray(stays.centre);
    const size = group.reduce((most, one) => Math.max(most, middle.distanceTo(new THREE.Vector3().fromArray(one.centre))), 10);
    const way = new THREE.Vector3().fromArray(item.centre).sub(middle);
    if (way.length() > 0.12 * size) return way.normalize().multiplyScalar(way.length() * 0.9 + 0.35 * size);
    const up = new THREE.Vector3().setFromMatrixColumn(item.placed, 2);
    return up.multiplyScalar((group.indexOf(group.find((g) => g.name === item.name)) % 2 ? -1.5 : 1.5) * size);
  }

  function place() {
    for (const item of parts.items) {
      item.offset.copy(item.away).multiplyScalar(apart);
      item.node.matrix.makeTranslation(item.offset.x, item.offset.y, item.offset.z).multiply(item.placed);
      if (owns.has(item.thing)) item.node.matrix.premultiply(owns.get(item.thing));
      if (carried && parts.rides(item)) item.node.matrix.premultiply(carried);
      if (item.side === "powertrain") item.node.matrix.premultiply(rock);
      for (const hand of parts.hands) { const by = hand(item); if (by) item.node.matrix.premultiply(by); }
      item.node.updateMatrixWorld(true);
    }
    stage.dirty();
  }
  parts.drive = function () { place(); paint(); lines(); };

  parts.colour = function (item) {
    if (item.what === "foul" || any(parts.fouled, item.thing)) return C.foul;
    if (item.what === "keep-out") return item.side === "powertrain" ? C.keepPowertrain : C.keepChassis;
    if (item.what !== "part") return C[item.what] || C.bolt;
    if (parts.about === "recipe") return C.pieces[item.index % C.pieces.length];
    return C[item.side] || C.chassis;
  };

  function paint() {
    const theme = Brackets.THEMES[parts.theme];
    for (const item of parts.items) {
      const unit = parts.units.get(item.unit);
      const lit = parts.picked.includes(item.unit) || parts.picked.includes(item.name) || parts.picked.includes(item.thing);
      const moving = item.what === "foul" && (apart > 0 || rocking || folded < 1 || carried || driving()), fouled = any(parts.fouled, item.thing);
      item.node.visible = !unit.hidden && !moving && !any(parts.away, item) && !(item.of || []).some((name) => parts.units.get(name) && parts.units.get(name).hidden);
      item.ghost = (unit.through || (Boolean(carried) && item.side === "powertrain" && !parts.rides(item))) && item.what !== "foul";
      const material = item.face.material;
      material.color.copy(Brackets.linear(lit && !fouled ? C.picked : parts.colour(item)));
      material.transparent = item.ghost;
      material.opacity = item.ghost ? (item.what === "keep-out" ? (fouled ? 0.5 : lit ? 0.3 : 0.16) : 0.3) : 1;
      material.depthWrite = !item.ghost;
      const side = item.ghost || item.what === "foul" ? THREE.DoubleSide : THREE.FrontSide;
      if (material.side !== side) { material.side = side; material.needsUpdate = true; }
      material.clippingPlanes = item.what === "foul" ? [] : parts.clips;
      item.edges.material.color.copy(Brackets.linear(item.what !== "keep-out" ? theme.edge : lit ? C.picked : theme.faint));
      item.edges.material.clippingPlanes = item.what === "foul" ? [] : parts.clips;
      item.node.renderOrder = item.ghost ? 1000 : 0;
      item.face.renderOrder = item.what === "foul" ? 900 : item.ghost ? 1001 : 800;
      item.edges.renderOrder = item.ghost ? 1000 : 850;
    }
    for (const call of parts.changed) call();
    stage.dirty();
  }
  parts.paint = paint;

  parts.pick = function (names, more) {
    parts.picked = names;
    pair = more && more.pair !== undefined && more.pair !== null && header ? header.pairs[more.pair] : null;
    paint();
    lines();
  };
  parts.isPicked = (unit) => parts.picked.includes(unit);

  parts.hide = function (names, hidden) {
    for (const name of names) if (parts.units.has(name)) parts.units.get(name).hidden = hidden;
    paint(); lines();
  };
  parts.only = function (names) {
    for (const unit of parts.units.values()) unit.hidden = !names.includes(unit.name);
    paint(); lines();
  };
  parts.through = function (names, through) {
    for (const name of names) if (parts.units.has(name)) parts.units.get(name).through = through;
    paint();
  };
  parts.everything = function () {
    for (const unit of parts.units.values()) { unit.hidden = false; unit.through = seenThrough(unit); }
    paint(); lines();
  };

  parts.apart = function (f) { apart = f; place(); paint(); lines(); };

  // `matrix` carries the powertrain; `own`, by name, what also moves by itself, before that.
  parts.rock = function (matrix, at, own) {
    if (!at && !rocking) return;  // at rest before and after
    rock = matrix; owns = own || new Map(); rocking = !!at; worst = at && at.p ? at : null;
    place(); paint(); lines();
  };

  // What moves with the engine as it is; what holds it is made anew for every place.
  parts.rides = (item) => item.side === "powertrain" && item.what === "keep-out";
  parts.carry = function (matrix, gaps) {
    if (!matrix && !carried) return;
    carried = matrix; tried = gaps;
    place(); paint(); lines();
  };

  parts.still = function () { if (rocking) parts.rock(new THREE.Matrix4(), null); };

  parts.canFold = () => parts.items.some((item) => item.folding);
  parts.fold = function (f) {
    folded = f;
    for (const item of parts.items) {
      if (!item.folding) continue;
      const now = item.folding(f);
      const fresh = built(item.data, now);
      if (item.own) { item.face.geometry.dispose(); item.edges.geometry.dispose(); }
      item.own = true;
      item.face.geometry = fresh.solid;
      item.edges.geometry = fresh.edge;
      item.shape = now;
      for (const cap of item.caps || []) cap.geometry = fresh.solid;
    }
    paint(); lines();
  };

  parts.gaps = function (all) { allGaps = all; lines(); };
  parts.axes = function (on) { axes = on; lines(); };
  parts.setTheme = function (name) { parts.theme = name; paint(); };

  Brackets.rays(parts);
  const lines = Brackets.lines(stage, parts, () => ({ header, apart, folded, rock, owns, rocking: rocking || driving(), allGaps, axes, pair, worst, carried, tried }));
  parts.lines = lines;

  // While the eye turns over a drawing that takes long: no edges but of keep-outs, and nothing that is hardly seen.
  const LEAST = 6;  // px, half across
  stage.coarser.push((on) => {
    const least = LEAST / stage.scale();
    for (const item of parts.items) {
      item.edges.visible = item.data.segments.length > 0 && (!on || item.ghost);
      item.face.visible = !on || item.face.geometry.boundingSphere.radius >= least;
    }
  });
  return parts;
};
