"use strict";
// One bolt of a bay withdrawn along its way, with a socket or a spanner on its ends as the check tried them. What it
// meets is coloured and named.

Brackets.bolts = function ({ stage, parts, labels, say, seek }) {
  const TOOL = 0x5d6f52, SWEPT = 0.28;
  const bolts = { list: [], chosen: null, share: 0, turned: false, socket: false, spanner: false };
  const tools = new THREE.Group();
  const steel = [1, SWEPT].map((opacity) => [TOOL, Brackets.COLOURS.foul].map((colour) => new THREE.MeshLambertMaterial({
    color: Brackets.linear(colour), side: THREE.DoubleSide, transparent: opacity < 1, opacity, depthWrite: opacity === 1,
  })));
  stage.scene.add(tools);

  bolts.take = function (list) {
    bolts.list = list || [];
    const was = bolts.chosen && bolts.chosen.thing;
    bolts.chosen = bolts.list.find((one) => one.thing === was) || null;
    if (bolts.chosen || was) show();
  };

  bolts.choose = function (thing) {
    bolts.chosen = bolts.list.find((one) => one.thing === thing) || null;
    bolts.share = 0;
    bolts.turned = bolts.chosen !== null && bolts.chosen.ways.length > 1 && bolts.chosen.ways[1].out;
    show();
  };
  bolts.set = function (values) { Object.assign(bolts, values); show(); };
  bolts.way = () => (bolts.chosen ? bolts.chosen.ways.find((way) => way.turned === bolts.turned) || bolts.chosen.ways[0] : null);
  bolts.far = () => (bolts.chosen ? bolts.share * bolts.way().length : 0);

  // What of the bolt stays on the work, to come off first: its nut, and the washers behind it.
  const loose = (item) => /^(nut|washer_nut_\d+)$/.test(item.name) && parts.items.some((one) => one.thing === item.thing && one.name === "shank");

  parts.hands.push((item) => {
    if (!bolts.chosen || item.thing !== bolts.chosen.thing || bolts.far() === 0 || loose(item)) return null;
    const way = bolts.way(), out = new THREE.Vector3(...way.along).multiplyScalar(bolts.far());
    const moved = new THREE.Matrix4().makeTranslation(out.x, out.y, out.z);
    return way.turned ? moved.multiply(endForEnd()) : moved;
  });

  // Half a turn about a line square to the bolt, midway between where its head bears and where it would.
  function endForEnd() {
    const [as, other] = bolts.chosen.ways.map((way) => new THREE.Vector3(...way.at));
    const along = new THREE.Vector3(...bolts.chosen.ways[0].along), middle = as.add(other).multiplyScalar(0.5);
    const square = new THREE.Vector3(Math.abs(along.x) < 0.9 ? 1 : 0, Math.abs(along.x) < 0.9 ? 0 : 1, 0).cross(along).normalize();
    return new THREE.Matrix4().makeTranslation(...middle.toArray())
      .multiply(new THREE.Matrix4().makeRotationAxis(square, Math.PI))
      .multiply(new THREE.Matrix4().makeTranslation(...middle.negate().toArray()));
  }

  function show() {
    const one = bolts.chosen, way = bolts.way(), far = bolts.far(), fouled = new Set(), said = [];
    for (const mesh of [...tools.children]) { tools.remove(mesh); mesh.geometry.dispose(); }
    labels.layers.delete("bolt");
    const tags = [];
    if (one) {
      said.push(`${one.label}: ${way.said}`);
      if (!way.out && far > way.free) {
        for (const name of way.meets) fouled.add(name);
        tags.push({ at: new THREE.Vector3(...way.at).addScaledVector(new THREE.Vector3(...way.along), far), text: `meets ${way.meets.join(", ")}`, colour: "bad", strong: true });
      }
      for (const end of one.ends) for (const kind of ["socket", "spanner"]) if (bolts[kind]) put(end, kind, fouled, said, tags);
    }
    parts.fouled.bolt = fouled;
    parts.away.bolt = one && far > 0 ? new Set(parts.items.filter((item) => item.thing === one.thing && loose(item))) : new Set();
    parts.driving.bolt = far > 0;
    if (tags.length) labels.layers.set("bolt", { tags, strokes: [] });
    say("bolt", one ? said.join("\n") : "");
    parts.drive();
  }

  function put(end, kind, fouled, said, tags) {
    const tool = end[kind], bad = tool.by.length > 0 && (kind === "socket" || tool.clock === null);
    if (bad) for (const name of tool.by) fouled.add(name);
    said.push(tool.said);
    const place = new THREE.Matrix4().fromArray(end.place);
    for (const [geometry, swept] of kind === "socket" ? [[socket(tool), 0]] : spanner(tool)) {
      const mesh = new THREE.Mesh(geometry, steel[swept][bad ? 1 : 0]);
      mesh.matrixAutoUpdate = false;
      mesh.matrix.copy(place);
      mesh.renderOrder = swept ? 1500 : 860;
      tools.add(mesh);
    }
    if (bad) tags.push({ at: new THREE.Vector3(0, 0, kind === "socket" ? tool.length : tool.t).applyMatrix4(place), text: `${kind} meets ${tool.by.join(", ")}`, colour: "bad" });
  }

  // In the tool's frame: z out of the work.
  function socket({ od, length, drive_od, reach }) {
    const outline = [[0, 0], [od / 2, 0], [od / 2, length]];
    if (drive_od && reach) outline.push([drive_od / 2, length], [drive_od / 2, length + reach], [0, length + reach]);
    else outline.push([0, length]);
    const made = new THREE.LatheGeometry(outline.map(([r, z]) => new THREE.Vector2(r, z)), 40).rotateX(Math.PI / 2).toNonIndexed();
    made.computeVertexNormals();  // each of its sides lit by itself
    return made;
  }

  // The spanner where it goes on, and all that it sweeps: an arc of its handle's corners about the head.
  function spanner({ head, handle, reach, t, swing, clock, opening }) {
    const r = head / 2, half = handle / 2, root = Math.asin(Math.min(1, half / r)), far = Math.hypot(reach, half), lead = Math.atan2(half, reach);
    const turn = (swing * Math.PI) / 180, begin = ((clock || 0) * Math.PI) / 180;
    const flat = (turn) => {
      const shape = new THREE.Shape();
      shape.absarc(0, 0, far, -lead, turn + lead, false);
      shape.absarc(0, 0, r, turn + root, 2 * Math.PI - root, false);
      shape.closePath();
      if (!turn) shape.holes.push(new THREE.Path().absarc(0, 0, opening / 2, 0, 2 * Math.PI, true));
      return new THREE.ExtrudeGeometry(shape, { depth: t, bevelEnabled: false, curveSegments: 24 }).rotateZ(begin);
    };
    return [[flat(0), 0], [flat(turn), 1]];
  }

  stage.moved.push(() => { for (const pair of steel) for (const material of pair) material.clippingPlanes = parts.clips; });
  bolts.tools = tools;
  bolts.seek = () => { if (bolts.chosen) seek([bolts.chosen.thing]); };
  return bolts;
};
