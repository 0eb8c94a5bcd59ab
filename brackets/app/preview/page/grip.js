"use strict";
// The one grip of the engine: a ring, as a bush is seen from its end. Dragged it slides the engine along the two axes
// of the bay that lie most across the view; with Shift it turns it about the third.

Brackets.grip = function (stage, parts, engine, host, labels) {
  const WORDS = ["fore", "left", "up"], TURNS = ["roll", "pitch", "yaw"], SLOW = 0.05;  // degrees a pixel
  const ring = Brackets.element("button", null, { type: "button", id: "grip", "aria-label": "Grip of the engine: arrows slide it, Page Up and Page Down along the third axis, Shift with left and right turns it" });
  const tag = Brackets.element("span", "", { "aria-hidden": "true" });
  ring.append(tag);
  ring.hidden = true;
  host.append(ring);
  let drag = null;

  // The middle of what is fixed to the engine, where it is drawn now.
  function middle() {
    const names = parts.items.filter((item) => parts.rides(item)).map((item) => item.thing);
    const box = parts.boxOf(names);
    return box.isEmpty() ? new THREE.Vector3(0, 0, 0).applyMatrix4(engine.matrix(engine.want)) : box.getCenter(new THREE.Vector3());
  }

  // The axis that is looked along the most, the two across it, and how far a mm of each is on the page, px.
  function across() {
    const away = stage.away(), size = away.toArray().map(Math.abs), along = size.indexOf(Math.max(...size));
    const at = middle(), here = stage.at(at), two = [0, 1, 2].filter((i) => i !== along);
    const px = two.map((i) => { const there = stage.at(at.clone().setComponent(i, at.getComponent(i) + 1)); return [there.x - here.x, there.y - here.y]; });
    return { along, two, px, near: Math.sign(away.getComponent(along)) || 1, here };
  }

  function lay() {
    ring.hidden = !engine.open || !engine.want;
    if (ring.hidden) return;
    const { along, two, here } = across();
    ring.style.left = `${here.x.toFixed(1)}px`;
    ring.style.top = `${here.y.toFixed(1)}px`;
    const said = drag && drag.turns ? TURNS[along] : two.map((i) => WORDS[i]).join(", ");
    if (tag.textContent !== said) tag.textContent = said;
  }

  function slid(from, dx, dy) {
    const [[ax, ay], [bx, by]] = from.px, det = ax * by - ay * bx;
    const far = [(dx * by - dy * bx) / det, (ax * dy - ay * dx) / det];
    return Object.fromEntries(from.two.map((i, n) => [i, engine.snapped(i, from.at[i] + far[n])]));
  }

  ring.addEventListener("pointerdown", (event) => {
    event.stopPropagation();
    if (event.button !== 0) return;
    event.preventDefault();
    ring.focus({ preventScroll: true });
    ring.setPointerCapture(event.pointerId);
    drag = { ...across(), x: event.clientX, y: event.clientY, at: [...engine.want], turns: event.shiftKey };
    lay();
  });
  ring.addEventListener("pointermove", (event) => {
    if (!drag) return;
    const [dx, dy] = [event.clientX - drag.x, event.clientY - drag.y], i = 3 + drag.along;
    engine.move(drag.turns ? { [i]: engine.snapped(i, drag.at[i] - drag.near * dx * SLOW) } : slid(drag, dx, dy));
  });
  const let_go = (done) => { if (!drag) return; drag = null; if (done) engine.move({}, true); else engine.cancel(); lay(); };
  ring.addEventListener("pointerup", (event) => { event.stopPropagation(); let_go(true); });
  ring.addEventListener("pointercancel", () => let_go(false));
  for (const kind of ["touchstart", "touchmove", "touchend", "contextmenu"]) ring.addEventListener(kind, (event) => event.stopPropagation());

  ring.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const key = event.key, { along, two, px, near } = across();
    if (key === "Escape") { if (drag) let_go(false); else engine.cancel(); }
    else if (event.shiftKey && (key === "ArrowLeft" || key === "ArrowRight")) step(3 + along, (key === "ArrowLeft" ? 1 : -1) * near);
    else if (key === "PageUp" || key === "PageDown") step(along, key === "PageUp" ? 1 : -1);
    else if (key.startsWith("Arrow")) {
      const level = Math.abs(px[0][0]) / Math.hypot(...px[0]) >= Math.abs(px[1][0]) / Math.hypot(...px[1]) ? 0 : 1;
      const sideways = key === "ArrowLeft" || key === "ArrowRight", n = sideways ? level : 1 - level;
      const forward = sideways ? Math.sign(px[n][0]) : -Math.sign(px[n][1]);
      step(two[n], (key === "ArrowRight" || key === "ArrowUp" ? 1 : -1) * (forward || 1));
    } else return;
    event.preventDefault();
    event.stopPropagation();
  });
  const step = (i, by) => engine.move({ [i]: engine.want[i] + by * engine.step(i) }, "keys");

  // What the ring and its word cover, for the words of the picture to keep off.
  function covers() {
    if (ring.hidden) return null;
    const half = ring.offsetWidth / 2, wide = Math.max(half, tag.offsetWidth / 2);
    return { x: ring.offsetLeft + half - wide, y: ring.offsetTop, w: 2 * wide, h: tag.offsetTop + tag.offsetHeight };
  }

  stage.after.unshift(lay);  // before the words are laid
  labels.taken.push(covers);
  engine.moved.push(() => { lay(); stage.dirty(); });
  return { ring, lay, across };
};
