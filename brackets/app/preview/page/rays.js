"use strict";
// Where the parts of the scene are: boxes about them, and which of them a ray meets.

Brackets.rays = function (parts) {
  parts.boxOf = function (names) {
    const box = new THREE.Box3();
    for (const item of parts.items) {
      if (names.includes(item.thing) || names.includes(item.name)) box.union(new THREE.Box3().copy(item.face.geometry.boundingBox).applyMatrix4(item.node.matrixWorld));
    }
    return box;
  };

  parts.box = function () {
    const box = new THREE.Box3();
    const inner = new THREE.Box3();
    for (const item of parts.items) {
      if (!item.node.visible) continue;
      box.union(new THREE.Box3().copy(item.face.geometry.boundingBox).applyMatrix4(item.node.matrixWorld));
      if (!item.ghost) inner.union(new THREE.Box3().copy(item.face.geometry.boundingBox).applyMatrix4(item.node.matrixWorld));
    }
    return box.isEmpty() ? inner : box;
  };

  // What a ray meets first: ghosts only where nothing solid is met, and nothing that is cut away.
  parts.under = function (ray, ghosts) {
    const caster = new THREE.Raycaster(ray.origin, ray.direction);
    let best = null;
    for (const item of parts.items) {
      if (!item.node.visible || (item.ghost && !ghosts)) continue;
      for (const hit of caster.intersectObject(item.face)) {
        if (parts.clips.some((plane) => plane.distanceToPoint(hit.point) < 0)) continue;
        const far = hit.distance + (item.ghost ? 1e6 : 0);
        if (!best || far < best.far) best = { far, item, point: hit.point, triangle: hit.faceIndex };
        break;
      }
    }
    return best;
  };

  // Everything that is seen through and lies on a ray, the nearest first.
  parts.ghosts = function (ray) {
    const caster = new THREE.Raycaster(ray.origin, ray.direction), found = [];
    for (const item of parts.items) {
      if (!item.node.visible || !item.ghost) continue;
      const hit = caster.intersectObject(item.face).find((one) => !parts.clips.some((plane) => plane.distanceToPoint(one.point) < 0));
      if (hit) found.push({ item, far: hit.distance });
    }
    return found.sort((a, b) => a.far - b.far);
  };
};
