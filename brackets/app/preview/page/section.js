"use strict";
// A cut through everything, filled where it goes through metal. What stands on the eye's side is taken away.

Brackets.section = function (stage, parts) {
  const plane = new THREE.Plane(new THREE.Vector3(1, 0, 0), 0);
  const group = new THREE.Group();
  stage.scene.add(group);
  const section = { axis: "", at: 0, range: [0, 1], slanted: null };  // at: mm along the way it lies across
  const WAYS = { x: new THREE.Vector3(1, 0, 0), y: new THREE.Vector3(0, 1, 0), z: new THREE.Vector3(0, 0, 1) };
  let built = null;

  section.set = function (axis, share) {
    section.axis = axis;
    if (!axis) { drop(); parts.clips = []; parts.paint(); parts.lines(); return; }
    section.range = span(parts.box());
    section.at = section.range[0] + share * (section.range[1] - section.range[0]);
    parts.clips = [plane];
    aim(stage.camera);
    parts.paint();
    parts.lines();
  };

  // Across a way of one's own, through a point; how far it lies there, as a share of what it can be shifted.
  section.lay = function (normal, point) {
    section.axis = "slanted";
    section.slanted = { way: normal.clone(), from: point.dot(normal) };
    section.at = section.slanted.from;
    return section.share();
  };

  section.share = function () {
    const [low, high] = span(parts.box());
    return high > low ? Math.min(Math.max((section.at - low) / (high - low), 0), 1) : 0.5;
  };

  const across = () => WAYS[section.axis] || section.slanted.way;

  // From where to where a box reaches along the way that is cut across.
  function span(box) {
    const way = across(), middle = box.getCenter(new THREE.Vector3()).dot(way), half = box.getSize(new THREE.Vector3()).multiplyScalar(0.5);
    const reach = Math.abs(way.x) * half.x + Math.abs(way.y) * half.y + Math.abs(way.z) * half.z;
    return [middle - reach, middle + reach];
  }

  function aim(camera) {
    if (!section.axis) return;
    const way = across();
    const eye = camera.position.clone().sub(stage.target);
    const sign = eye.dot(way) >= 0 ? -1 : 1;
    plane.normal.copy(way).multiplyScalar(sign);
    plane.constant = -sign * section.at;
    if (built) for (const cap of built.caps) lay(cap);
  }

  function lay(cap) {
    plane.projectPoint(cap.userData.middle, cap.position);
    cap.lookAt(cap.position.clone().sub(plane.normal));
  }

  function drop() {
    if (!built) return;
    for (const cap of built.caps) group.remove(cap);
    for (const item of parts.items) {
      for (const mesh of item.caps || []) item.node.remove(mesh);
      item.caps = null;
    }
    built = null;
  }

  // One set of materials for each thing that is cut, kept: made anew, their programs would be compiled anew.
  const kept = [];
  function materials(i) {
    if (!kept[i]) {
      const counts = [THREE.BackSide, THREE.FrontSide].map((side) => {
        const step = side === THREE.BackSide ? THREE.IncrementWrapStencilOp : THREE.DecrementWrapStencilOp;
        const made = new THREE.MeshBasicMaterial({ side, depthWrite: false, depthTest: false, colorWrite: false, clippingPlanes: [plane] });
        return Object.assign(made, { stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc, stencilFail: step, stencilZFail: step, stencilZPass: step });
      });
      const fill = new THREE.MeshBasicMaterial({ side: THREE.DoubleSide });
      Object.assign(fill, { stencilWrite: true, stencilRef: 0, stencilFunc: THREE.NotEqualStencilFunc, stencilFail: THREE.ReplaceStencilOp, stencilZFail: THREE.ReplaceStencilOp, stencilZPass: THREE.ReplaceStencilOp });
      kept[i] = { counts, fill };
    }
    return kept[i];
  }

  const sheet = new THREE.PlaneGeometry(1, 1);
  function build() {
    drop();
    built = { caps: [] };
    for (const item of parts.items) {
      if (!item.node.visible || item.ghost || item.what === "foul" || item.scan === "open") continue;  // of what is open no inside is known
      const box = new THREE.Box3().copy(item.face.geometry.boundingBox).applyMatrix4(item.node.matrixWorld);
      const [low, high] = span(box);
      if (section.at < low || section.at > high) continue;  // not cut: no cap
      const order = 1 + built.caps.length, { counts, fill } = materials(built.caps.length);
      item.caps = counts.map((material) => {
        const mesh = new THREE.Mesh(item.face.geometry, material);
        mesh.renderOrder = order;
        item.node.add(mesh);
        mesh.updateMatrixWorld(true);
        return mesh;
      });
      fill.color.copy(Brackets.linear(parts.isPicked(item.unit) ? Brackets.COLOURS.picked : parts.colour(item))).lerp(new THREE.Color(1, 1, 1), 0.12);
      const cap = new THREE.Mesh(sheet, fill);
      cap.scale.setScalar(box.getSize(new THREE.Vector3()).length() * 1.1);
      cap.userData.middle = box.getCenter(new THREE.Vector3());
      cap.renderOrder = order + 0.1;
      cap.onAfterRender = (renderer) => renderer.clearStencil();
      lay(cap);
      group.add(cap);
      built.caps.push(cap);
    }
    stage.dirty();
  }

  stage.moved.push(aim);
  let painting = false;
  parts.changed.push(() => {
    if (!section.axis || painting) return;
    painting = true;
    build();
    painting = false;
  });
  return section;
};
