"use strict";
// One sentence of keys for who has never closed it; not in a notebook, where there would be one in every cell.

Brackets.hint = function (box) {
  const KEPT = "brackets: hint closed";
  const HAND = "Drag to turn, right button to shift, wheel to zoom to the pointer; click to pick; M measures, Q is a close-up of what is picked. More under Keys.";
  const FINGER = "One finger turns, two shift and zoom, a tap picks.";
  const store = (call) => {
    try { return call(window.localStorage); }
    catch (error) { return null; }  // a browser may refuse to keep anything
  };
  if (window.parent !== window || store((kept) => kept.getItem(KEPT)) !== null) return;
  box.querySelector("span").textContent = window.matchMedia("(pointer: coarse)").matches ? FINGER : HAND;
  box.hidden = false;
  box.querySelector("button").addEventListener("click", () => {
    box.hidden = true;
    store((kept) => kept.setItem(KEPT, "yes"));
  });
};
