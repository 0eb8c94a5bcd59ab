"use strict";
// What is read stays where it is, and what is in hand stays in hand, while what stands about it is changed.

Brackets.held = (function () {
  return function (sheet, change) {
    const scroller = getComputedStyle(sheet).overflowY === "auto" ? sheet : document.scrollingElement;
    const hand = sheet.contains(document.activeElement) ? document.activeElement : null;
    const marks = scroller.scrollTop > 0 ? inSight(sheet, hand) : [];
    const order = hand ? [...sheet.querySelectorAll("summary, button, a, input, select")] : [];
    change();
    if (hand && document.activeElement !== hand) caught(hand, order);
    const mark = marks.find(([node]) => node.isConnected && node.getClientRects().length);
    if (mark) scroller.scrollTop += mark[0].getBoundingClientRect().top - mark[1];
  };

  // Rows and headings that are in sight and where each stands, the one in hand first: the first still there is held.
  function inSight(sheet, hand) {
    const mine = hand && hand.closest("tr, .field, .figure, summary"), seen = [];
    const low = Math.min(Math.max(0, document.getElementById("jump").getBoundingClientRect().bottom), innerHeight / 2);
    for (const node of sheet.querySelectorAll("tr, summary, .field, .figure")) {
      const { top, height } = node.getBoundingClientRect();
      if (height && top >= low && top < innerHeight) seen.push([node, top]);
    }
    return seen.sort(([a], [b]) => (b === mine) - (a === mine));
  }

  // To the same thing where it has moved, among what is folded away too; else to what is nearest before it.
  function caught(hand, order) {
    for (let fold = hand.isConnected && hand.tagName !== "SUMMARY" && hand.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    for (let i = order.indexOf(hand); i >= 0; i--) {
      if (!order[i].isConnected || order[i].disabled || !order[i].getClientRects().length) continue;
      order[i].focus({ preventScroll: true });
      return;
    }
  }
})();
