"use strict";
// Where the picture is another than what was drawn last: by software a drawing takes as long as what is drawn of it, and
// a value of one part leaves most of a bay as it was. Every thing's shape, place and paint is held against what is drawn.

Brackets.changes = function (renderer, scene) {
  const PAD = 4;  // px: half the widest line, and what a place is rounded by
  const MOST = 0.5;  // of the canvas: to keep what is beside it takes longer than to draw it
  const changes = {}, size = new THREE.Vector2(), corner = new THREE.Vector4(), whole = new THREE.Matrix4();
  let drawn = null;  // what stands on the canvas: {all, things}; null where that is not known

  // What a drawing from `camera` would be of; null where it has more in it than is held against each other here.
  function seen(camera) {
    const things = new Map(), all = [scene.background && scene.background.getHex(), ...camera.matrixWorld.elements, ...camera.projectionMatrix.elements];
    let known = true;
    scene.updateMatrixWorld();
    renderer.getSize(size);
    whole.multiplyMatrices(camera.projectionMatrix, camera.matrixWorldInverse);
    scene.traverseVisible((one) => {
      if (one.isLight) all.push(one.intensity, one.color.getHex());
      if (one.isLine || one.isPoints || one.isSprite) known = false;
      if (!one.isMesh) return;
      const m = one.material, cut = m.clippingPlanes && m.clippingPlanes.length;
      if (cut || m.stencilWrite) known = false;  // a section's caps lie over each other
      const paint = [m.id, m.color && m.color.getHex(), m.opacity, m.transparent, m.side, m.depthWrite, m.linewidth, one.renderOrder].join();
      things.set(one, { geometry: one.geometry, at: [...one.matrixWorld.elements], paint, box: known && covers(one) });
    });
    return known && [...things.values()].every(({ box }) => box) ? { all: all.join(), things } : null;
  }

  // px from the top left of the canvas: the rectangle that a thing lies in; null where some of it is behind the eye.
  function covers(one) {
    const { geometry } = one;
    if (!geometry.boundingBox) geometry.computeBoundingBox();
    const { min, max } = geometry.boundingBox, box = new THREE.Box2();
    for (let i = 0; i < 8; i++) {
      corner.set(i & 1 ? max.x : min.x, i & 2 ? max.y : min.y, i & 4 ? max.z : min.z, 1).applyMatrix4(one.matrixWorld).applyMatrix4(whole);
      if (!(corner.w > 0)) return null;
      box.expandByPoint(new THREE.Vector2(((corner.x / corner.w + 1) / 2) * size.x, ((1 - corner.y / corner.w) / 2) * size.y));
    }
    return box.expandByScalar(PAD);
  }

  // Lines are made anew with every picture, of the same points where nothing moved.
  function sameShape(a, b) {
    const p = a.userData.segments, q = b.userData.segments;
    return a === b || Boolean(p && q && p.length === q.length && p.every((value, i) => value === q[i]));
  }
  const same = (a, b) => a.paint === b.paint && a.at.every((value, i) => value === b.at[i]) && sameShape(a.geometry, b.geometry);

  // To be asked when the picture is about to be drawn: the rectangle that must be, px from the bottom left, and the
  // things that lie beside it; null: all of it.
  changes.take = function (camera) {
    const was = drawn, now = drawn = seen(camera);
    if (!was || !now || was.all !== now.all) return null;
    const box = new THREE.Box2(), beside = [];
    for (const [one, state] of now.things) {
      const old = was.things.get(one);
      if (old && same(state, old)) continue;
      box.union(state.box);
      if (old) box.union(old.box);
    }
    for (const [one, old] of was.things) if (!now.things.has(one)) box.union(old.box);
    box.intersect(new THREE.Box2(new THREE.Vector2(0, 0), size.clone()));
    if (box.isEmpty()) return { w: 0, h: 0, beside };
    box.min.floor();
    box.max.ceil();
    if ((box.max.x - box.min.x) * (box.max.y - box.min.y) > MOST * size.x * size.y) return null;
    for (const [one, state] of now.things) if (!one.children.length && !state.box.intersectsBox(box)) beside.push(one);
    return { x: box.min.x, y: size.y - box.max.y, w: box.max.x - box.min.x, h: box.max.y - box.min.y, beside };
  };

  changes.forget = function () { drawn = null; };
  return changes;
};
