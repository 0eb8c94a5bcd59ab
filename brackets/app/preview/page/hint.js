"use strict";
// What a browser remembers of a page; a browser may refuse to keep anything.

Brackets.memory = function (key) {
  const store = (call) => {
    try { return call(window.localStorage); }
    catch (error) { return null; }
  };
  const name = `brackets: ${key}`;
  return { get: () => store((kept) => kept.getItem(name)), set: (value) => { store((kept) => kept.setItem(name, value)); } };
};

// One sentence of keys for who has never closed it; not in a notebook, where there would be one in every cell.

Brackets.hint = function (box) {
  const kept = Brackets.memory("hint closed");
  const HAND = "Drag to turn, right button to shift, wheel to zoom to the pointer; click to pick; M measures, Q is a close-up of what is picked. More under Keys.";
  const FINGER = "One finger turns, two shift and zoom, a tap picks.";
  if (window.parent !== window || kept.get() !== null) return;
  box.querySelector("span").textContent = window.matchMedia("(pointer: coarse)").matches ? FINGER : HAND;
  box.hidden = false;
  box.querySelector("button").addEventListener("click", () => {
    box.hidden = true;
    kept.set("yes");
  });
};

// Controls that are folded away leave the picture their room: of a phone at first, then as they were left.
Brackets.lessTools = function (button, box) {
  const kept = Brackets.memory("controls folded");
  const show = (folded) => {
    box.hidden = folded;
    button.textContent = folded ? "More controls" : "Fewer controls";
    button.setAttribute("aria-expanded", String(!folded));
  };
  const was = kept.get();
  show(was === null ? window.matchMedia("(max-width: 800px)").matches : was === "yes");
  button.addEventListener("click", () => { show(!box.hidden); kept.set(box.hidden ? "yes" : "no"); });
};
