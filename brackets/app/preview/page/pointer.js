"use strict";
// The pointer over the picture: a click, the wheel, the axes at the bottom left, the name of what is under it.

Brackets.pointer = function ({ stage, parts, labels, measure, host, tag, clicked }) {
  const STILL = 5;  // px a finger may slip in a click
  const PACE = 40;  // ms between two looks at what is under a moving pointer
  const NOTCH = 0.0016;  // of a wheel's step, px: a hundred, a usual notch, is a sixth nearer
  let down = null, waiting = null, last = null;

  const at = (event) => {
    const box = host.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const onPicture = (event) => event.target === host || event.target === stage.canvas;

  host.addEventListener("pointerdown", (event) => { down = onPicture(event) ? at(event) : null; rest(); });
  host.addEventListener("pointerup", (event) => {
    const { x, y } = at(event), was = down;
    down = null;
    if (!was || Math.hypot(x - was.x, y - was.y) > STILL || event.button !== 0) return;
    const view = labels.axisAt(x, y);
    if (view) stage.view(stage.looks(view[0]) ? view[1] : view[0], parts.box());
    else clicked(x, y);
  });

  // Nearer or further at the pointer: what is under it stays under it.
  host.addEventListener("wheel", (event) => {
    event.preventDefault();
    event.stopImmediatePropagation();
    const { x, y } = at(event), step = event.deltaMode === 1 ? 33 * event.deltaY : event.deltaY;
    stage.zoom(Math.exp(-NOTCH * Math.min(Math.max(step, -400), 400)), x, y);
  }, { passive: false, capture: true });

  host.addEventListener("pointermove", (event) => {
    if (event.buttons || event.pointerType === "touch" || !onPicture(event)) { rest(); return; }
    last = at(event);
    if (waiting === null) waiting = setTimeout(look, PACE);
  });
  host.addEventListener("pointerleave", rest);

  function rest() {
    clearTimeout(waiting);
    waiting = last = null;
    tag.hidden = true;
    host.style.cursor = "";
    if (measure.asked() && !labels.cursor) measure.hover(null);
  }

  function look() {
    waiting = null;
    if (!last) return;
    const { x, y } = last, view = labels.axisAt(x, y);
    host.style.cursor = view ? "pointer" : measure.asked() ? "crosshair" : "";
    if (measure.asked()) { measure.hover(x, y); tag.hidden = true; return; }
    const name = view ? `look from ${stage.looks(view[0]) ? view[1] : view[0]}` : named(x, y);
    tag.textContent = name;
    tag.hidden = !name;
    if (!name) return;
    tag.style.left = `${Math.min(x + 14, host.clientWidth - tag.offsetWidth - 2)}px`;
    tag.style.top = `${Math.max(y - 30, 2)}px`;
  }

  // What is met first, and what is seen through on the way to it.
  function named(x, y) {
    const ray = stage.ray(x, y), solid = parts.under(ray, false);
    const through = parts.ghosts(ray).filter((hit) => !solid || hit.far < solid.far).map((hit) => hit.item.unit);
    return [...new Set([...through, ...(solid ? [solid.item.unit] : [])])].join(" · ");
  }
};
