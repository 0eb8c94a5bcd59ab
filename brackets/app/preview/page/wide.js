"use strict";
// Lines as wide as asked on the screen: two triangles each, cut off square at the ends (longer, they would be as deep
// as their line nowhere but in the middle, and half hidden). Every corner carries both ends of its line; one shape drawn
// many times over would say it shorter, and takes a renderer without a graphics card longer.

Brackets.wide = function (segments) {
  const CORNERS = [[-1, 1, -1, 1], [1, 1, 1, 1], [-1, 0, -1, -1], [1, 0, 1, -1]];  // side, which end, and the same as u, v
  const EACH = 11, count = segments.length / 6;
  const rows = new Float32Array(4 * EACH * count), index = new Uint32Array(6 * count);
  const box = new THREE.Box3();
  for (let i = 0, at = 0; i < count; i++) {
    for (const [side, end, u, v] of CORNERS) {
      rows.set([side, end, 0, u, v], at);
      for (let k = 0; k < 6; k++) rows[at + 5 + k] = segments[6 * i + k];
      at += EACH;
    }
    index.set([4 * i, 4 * i + 2, 4 * i + 1, 4 * i + 2, 4 * i + 3, 4 * i + 1], 6 * i);
  }
  const made = new THREE.BufferGeometry(), all = new THREE.InterleavedBuffer(rows, EACH);
  const column = (name, size, from) => made.setAttribute(name, new THREE.InterleavedBufferAttribute(all, size, from));
  column("position", 3, 0);
  column("uv", 2, 3);
  column("instanceStart", 3, 5);
  column("instanceEnd", 3, 8);
  made.setIndex(new THREE.BufferAttribute(index, 1));
  box.setFromArray(segments);
  made.boundingBox = box;
  made.userData.segments = segments;
  made.boundingSphere = box.getBoundingSphere(new THREE.Sphere());
  return made;
};
