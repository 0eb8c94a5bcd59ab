"use strict";
// Drawing with smooth sides: four looks at every pixel. Where that takes longer than a screen's step the picture is
// drawn plainly while it changes, and smoothly once it stands still; where it takes very long, with a quarter of the
// pixels while the eye turns.

Brackets.sharp = function (renderer, changes) {
  const STEP = 16, REST = 150, AGAIN = 1000;  // ms: a screen's step; stillness; between two measurements
  const gl = renderer.getContext();
  const sharp = { slow: false, took: 0 };
  const size = new THREE.Vector2(), dot = new Uint8Array(4);
  const able = gl.getParameter(gl.MAX_SAMPLES) >= 4;
  let target = null, half = null, measured = -AGAIN;

  const sheet = new THREE.Scene();
  const copy = new THREE.ShaderMaterial({
    uniforms: { picture: { value: null } },
    vertexShader: "varying vec2 at; void main() { at = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }",
    fragmentShader: "uniform sampler2D picture; varying vec2 at; void main() { gl_FragColor = texture2D(picture, at); }",
    depthTest: false, depthWrite: false,
  });
  const cover = new THREE.Mesh(new THREE.PlaneGeometry(2, 2), copy);
  cover.frustumCulled = false;
  sheet.add(cover);
  const eye = new THREE.Camera();

  function sized() {
    renderer.getDrawingBufferSize(size);
    if (target && target.width === size.x && target.height === size.y) return;
    if (target) target.dispose();
    target = new THREE.WebGLMultisampleRenderTarget(size.x, size.y, { stencilBuffer: true, format: THREE.RGBAFormat, minFilter: THREE.NearestFilter, magFilter: THREE.NearestFilter });
    target.texture.encoding = THREE.sRGBEncoding;
  }

  function show(from) {
    renderer.setRenderTarget(null);
    copy.uniforms.picture.value = from.texture;
    renderer.render(sheet, eye);
  }

  // Where something differs from what is drawn, and nowhere else (see changes.js). Handed over at once: what is drawn
  // between two of the screen's steps would else be begun at the next. Returns whether anything was drawn.
  sharp.plain = function (scene, camera) {
    const where = changes.take(camera);
    if (where && !where.w) return false;
    if (where) {
      renderer.setScissor(where.x, where.y, where.w, where.h);
      renderer.setScissorTest(true);
      for (const one of where.beside) one.visible = false;
    }
    renderer.render(scene, camera);
    if (where) {
      renderer.setScissorTest(false);
      for (const one of where.beside) one.visible = true;
    }
    gl.flush();
    return true;
  };

  // Half as wide and half as high, then drawn out to the whole.
  sharp.coarse = function (scene, camera) {
    renderer.getDrawingBufferSize(size).divideScalar(2).floor();
    if (!half || half.width !== size.x || half.height !== size.y) {
      if (half) half.dispose();
      half = new THREE.WebGLRenderTarget(size.x, size.y, { stencilBuffer: true, format: THREE.RGBAFormat });
      half.texture.encoding = THREE.sRGBEncoding;
    }
    renderer.setRenderTarget(half);
    renderer.render(scene, camera);
    show(half);
    changes.forget();
  };

  sharp.draw = function (scene, camera) {
    const start = performance.now();
    if (able) {
      sized();
      renderer.setRenderTarget(target);
      renderer.render(scene, camera);
      show(target);
    } else renderer.render(scene, camera);
    if (sharp.slow) changes.take(camera);
    else changes.forget();
    if (start - measured < AGAIN) return;
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, dot);  // waits for the picture
    measured = performance.now();
    sharp.took = measured - start;
    sharp.slow = able && sharp.took > STEP;
  };

  // How long it must have stood still: a picture that takes long must not be begun between two turns of the hand.
  sharp.rest = () => Math.max(REST, 2 * sharp.took);
  return sharp;
};
