"use strict";
// Reads one block: u32 length, JSON, then the arrays of each mesh (see blocks.py).
const Brackets = {};

Brackets.unpack = function (buffer) {
  const size = new DataView(buffer).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, size)));
  const meshes = new Map();
  let at = 4 + size;
  for (const meta of header.meshes) {
    const take = (Kind, count) => {
      const found = new Kind(buffer, at, count);
      at += count * Kind.BYTES_PER_ELEMENT;
      return found;
    };
    const mesh = {
      positions: take(Float32Array, 3 * meta.corners),
      normals: take(Int8Array, 4 * meta.corners),
      triangles: take(Uint32Array, 3 * meta.triangles),
      segments: take(Float32Array, 6 * meta.segments),
      faces: meta.faces,
      runs: meta.runs,
      cornerZones: null,
      edgeZones: null,
    };
    if (meta.zoned) {
      mesh.cornerZones = take(Uint8Array, meta.corners);
      mesh.edgeZones = take(Uint8Array, 2 * meta.segments);
      at += -(meta.corners + 2 * meta.segments) & 3;
    }
    meshes.set(meta.key, mesh);
  }
  return { header, meshes };
};

Brackets.packed = async function (base64) {
  const raw = Uint8Array.from(atob(base64.trim()), (c) => c.charCodeAt(0));
  const stream = new Blob([raw]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Response(stream).arrayBuffer();
};
