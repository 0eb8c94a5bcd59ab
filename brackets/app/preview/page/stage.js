"use strict";
// The drawing surface: cameras, light, and drawing only when something has changed. Null where there is no WebGL.

Brackets.THEMES = {
  light: { back: 0xf5f3ee, edge: 0x2b2d30, faint: 0x8b8778, light: 0.95, ambient: 0.42 },
  dark: { back: 0x191b1d, edge: 0x0c0d0e, faint: 0x7d8183, light: 0.95, ambient: 0.42 },
};

Brackets.VIEWS = {
  slant: [1, 0.8, 0.75], front: [1, 0, 0], rear: [-1, 0, 0], left: [0, 1, 0], right: [0, -1, 0],
  top: [-1e-4, 0, 1], under: [-1e-4, 0, -1],
};

Brackets.linear = (hex) => new THREE.Color(hex).convertSRGBToLinear();

Brackets.stage = function (host) {
  let renderer;
  const canvas = document.createElement("canvas");
  try {
    // Without alpha: nothing behind shows through, and laying the picture over the page takes a quarter less by software.
    if (!canvas.getContext("webgl2", { alpha: false, stencil: true, antialias: false, preserveDrawingBuffer: true })) return null;
    renderer = new THREE.WebGLRenderer({ canvas, context: canvas.getContext("webgl2") });
  } catch (error) {
    return null;
  }
  renderer.outputEncoding = THREE.sRGBEncoding;
  renderer.localClippingEnabled = true;
  renderer.autoClear = true;
  host.prepend(canvas);

  const scene = new THREE.Scene();
  const flat = new THREE.OrthographicCamera(-1, 1, 1, -1, 0.1, 10);
  const deep = new THREE.PerspectiveCamera(35, 1, 1, 10);
  const lamp = new THREE.DirectionalLight(0xffffff, 1);
  const glow = new THREE.AmbientLight(0xffffff, 1);
  scene.add(glow, lamp, lamp.target);
  const stage = { scene, renderer, canvas, camera: flat, plain: false, frames: 0, moved: [], after: [], wide: 100, lines: new Set() };
  for (const camera of [flat, deep]) camera.up.set(0, 0, 1);
  const controls = new THREE.OrbitControls(flat, host);
  controls.rotateSpeed = 0.8;
  controls.enableKeys = false;
  controls.screenSpacePanning = true;
  controls.addEventListener("change", aimed);
  const changes = Brackets.changes(renderer, scene);
  const sharp = Brackets.sharp(renderer, changes);
  canvas.addEventListener("webglcontextrestored", changes.forget);
  const LONG = 100;  // ms that a smooth drawing takes from which the eye turns over a coarser one
  stage.coarse = false;
  stage.coarser = [];  // called with whether what is drawn may be coarser
  let turning = false;
  let asked = false, still = null, reach = 100, seen = { right: 100, up: 100 };

  stage.dirty = function () {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => { if (asked) stage.draw(); });
  };

  // Once the eye has moved: rays and places on the page are of the new view at once, not from the next drawing on.
  function aimed() {
    stage.camera.updateMatrixWorld();
    for (const call of stage.moved) call(stage.camera);
    turning = true;
    stage.dirty();
  }

  // `best`: smoothly, whatever it takes; else as well as can be done while it changes. `bare`: the words over it later.
  stage.draw = function (best, bare) {
    const camera = stage.camera;
    const plain = sharp.slow && !best;
    asked = false;
    clearTimeout(still);
    lamp.position.copy(new THREE.Vector3(-0.45, 0.7, 1).transformDirection(camera.matrixWorld));
    lamp.target.position.set(0, 0, 0);
    const coarse = plain && turning && sharp.took > LONG;
    if (coarse !== stage.coarse) {
      stage.coarse = coarse;
      for (const call of stage.coarser) call(coarse);
    }
    if (!plain) turning = false;
    const rough = plain && ((coarse ? sharp.coarse : sharp.plain)(scene, camera) !== false || stage.plain);
    if (!plain) sharp.draw(scene, camera);
    if (rough) still = setTimeout(() => stage.draw(true), sharp.rest());
    stage.plain = rough;
    stage.frames += 1;
    if (!bare) stage.words();
  };

  stage.words = function () {
    for (const call of stage.after) call(stage.camera);
  };

  stage.slow = (yes, took) => { sharp.slow = yes; if (took !== undefined) sharp.took = took; };

  // px on the page of a mm at what is looked at.
  stage.scale = function () {
    if (stage.camera === flat) return (host.clientHeight * flat.zoom) / (flat.top - flat.bottom);
    return host.clientHeight / (2 * stage.away().length() * Math.tan((deep.fov * Math.PI) / 360));
  };

  stage.theme = function (name) {
    const theme = Brackets.THEMES[name];
    scene.background = new THREE.Color(theme.back);
    lamp.intensity = theme.light;
    glow.intensity = theme.ambient;
    stage.dirty();
  };

  stage.resize = function () {
    const { clientWidth: w, clientHeight: h } = host;
    if (!w || !h) return;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    renderer.setSize(w, h, false);
    changes.forget();  // it clears the canvas
    deep.aspect = w / h;
    frame();
    for (const material of stage.lines) material.resolution.set(w, h);
    stage.dirty();
  };

  function frame() {
    const ratio = host.clientWidth / Math.max(host.clientHeight, 1);
    const half = Math.max(seen.up, seen.right / ratio);
    flat.left = -half * ratio; flat.right = half * ratio; flat.top = half; flat.bottom = -half;
    flat.near = -20 * reach; flat.far = 40 * reach;
    deep.near = reach / 50; deep.far = 60 * reach;
    flat.updateProjectionMatrix(); deep.updateProjectionMatrix();
  }

  stage.box = new THREE.Box3();
  stage.fit = function (box) {
    if (box.isEmpty()) return;
    const away = stage.camera.position.clone().sub(controls.target).normalize();
    reach = Math.max(box.getSize(new THREE.Vector3()).length() / 2, 1) * 1.04;
    box.getCenter(controls.target);
    flat.zoom = 1;
    place(away);
    seen = extent(box);
    frame();
    aimed();
  };

  // How far a box reaches from the middle of the picture, to the right and up, with a little air.
  function extent(box) {
    const right = new THREE.Vector3().setFromMatrixColumn(stage.camera.matrixWorld, 0);
    const up = new THREE.Vector3().setFromMatrixColumn(stage.camera.matrixWorld, 1);
    const half = box.getSize(new THREE.Vector3()).multiplyScalar(0.5);
    const along = (way) => Math.abs(way.x) * half.x + Math.abs(way.y) * half.y + Math.abs(way.z) * half.z;
    return { right: Math.max(along(right), 1) * 1.08, up: Math.max(along(up), 1) * 1.08 };
  }

  function place(away) {
    const far = stage.camera === deep ? reach / Math.sin((deep.fov * Math.PI) / 360) / Math.min(1, deep.aspect) : reach * 4;
    if (away.lengthSq() < 0.5) away.set(1, 0.8, 0.75).normalize();
    stage.camera.position.copy(controls.target).addScaledVector(away, far);
    frame();
    controls.update();
    aimed();
  }

  stage.view = function (name, box) {
    stage.camera.position.copy(controls.target).add(new THREE.Vector3(...Brackets.VIEWS[name]).normalize());
    stage.fit(box);
  };

  // From a way of one's own.
  stage.from = function (way, box) {
    stage.camera.position.copy(controls.target).add(way);
    stage.fit(box);
  };

  stage.away = () => stage.camera.position.clone().sub(controls.target);

  stage.lens = function (perspective) {
    const away = stage.camera.position.clone().sub(controls.target).normalize();
    stage.camera = perspective ? deep : flat;
    controls.object = stage.camera;
    place(away);
  };

  stage.turn = function (right, up) {
    const round = new THREE.Spherical();
    const away = stage.camera.position.clone().sub(controls.target);
    const toY = new THREE.Quaternion().setFromUnitVectors(new THREE.Vector3(0, 0, 1), new THREE.Vector3(0, 1, 0));
    round.setFromVector3(away.applyQuaternion(toY));
    round.theta += right;
    round.phi = Math.min(Math.max(round.phi - up, 0.001), Math.PI - 0.001);
    away.setFromSpherical(round).applyQuaternion(toY.invert());
    stage.camera.position.copy(controls.target).add(away);
    controls.update();
    aimed();
  };

  stage.shift = function (right, up) {
    const step = stage.camera === flat ? (flat.top - flat.bottom) / flat.zoom : 2 * reach;
    const move = new THREE.Vector3(right * step, up * step, 0).applyQuaternion(stage.camera.quaternion);
    controls.target.add(move);
    stage.camera.position.add(move);
    controls.update();
    aimed();
  };

  // About a place on the page, px, or the middle: what is there stays there.
  stage.zoom = function (by, x, y) {
    const held = x === undefined ? null : onTarget(x, y), camera = stage.camera;
    if (camera === flat) {
      flat.zoom *= by;
      if (held) {
        const shift = held.sub(controls.target).multiplyScalar(1 - 1 / by);
        for (const p of [camera.position, controls.target]) p.add(shift);
      }
    } else {
      const centre = held || controls.target.clone();
      for (const p of [camera.position, controls.target]) p.sub(centre).divideScalar(by).add(centre);
    }
    camera.updateProjectionMatrix();
    controls.update();
    aimed();
  };

  // Where a point of the scene is on the page, px from the top left of the stage; z below 1 in front of the eye.
  stage.at = function (point) {
    const p = point.clone().project(stage.camera);
    return { x: ((p.x + 1) / 2) * host.clientWidth, y: ((1 - p.y) / 2) * host.clientHeight, z: p.z };
  };

  // Where a ray through the page meets the plane across the eye's way that holds what is looked at.
  function onTarget(x, y) {
    const across = new THREE.Plane().setFromNormalAndCoplanarPoint(stage.away().normalize(), controls.target);
    return stage.ray(x, y).intersectPlane(across, new THREE.Vector3());
  }

  // Whether the eye stands where a view of that name stands.
  stage.looks = (name) => stage.away().normalize().distanceTo(new THREE.Vector3(...Brackets.VIEWS[name]).normalize()) < 1e-3;

  stage.ray = function (x, y) {
    const caster = new THREE.Raycaster();
    caster.setFromCamera(new THREE.Vector2((x / host.clientWidth) * 2 - 1, 1 - (y / host.clientHeight) * 2), stage.camera);
    return caster.ray;
  };

  stage.line = function (options) {
    const material = new THREE.LineMaterial({ linewidth: 1.6, ...options });
    material.resolution.set(host.clientWidth, host.clientHeight);
    stage.lines.add(material);
    return material;
  };

  stage.drop = function (material) {
    stage.lines.delete(material);
    material.dispose();
  };

  stage.target = controls.target;
  new ResizeObserver(() => stage.resize()).observe(host);
  stage.camera.position.set(1, 0.8, 0.75);
  stage.resize();
  return stage;
};
