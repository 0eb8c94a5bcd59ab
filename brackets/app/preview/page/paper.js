"use strict";
// The page on paper: the picture as it is shown, and every table whole; then as it was.

Brackets.paper = function (stage, labels, image, sheet) {
  let shut = [];
  window.addEventListener("beforeprint", () => {
    shut = [...sheet.querySelectorAll("details:not([open])")];
    for (const fold of shut) fold.open = true;
    if (stage) image.src = labels.picture(labels.stamp).toDataURL("image/png");
    image.hidden = !stage;
  });
  window.addEventListener("afterprint", () => {
    for (const fold of shut) fold.open = false;
    image.hidden = true;
  });
};
