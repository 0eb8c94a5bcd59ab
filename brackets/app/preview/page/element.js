"use strict";
// Makes what stands on the page; texts are never markup.

Brackets.element = function (tag, text, attributes) {
  const made = document.createElement(tag);
  if (text !== undefined && text !== null) made.textContent = text;
  for (const [name, value] of Object.entries(attributes || {})) made.setAttribute(name, value);
  return made;
};

// A name may be broken after an underscore, and nowhere else: upper_rail_left.
Brackets.named = function (tag, text, attributes) {
  const made = typeof tag === "string" ? Brackets.element(tag, null, attributes) : tag;
  made.replaceChildren();
  text.split(/(?<=_)/).forEach((piece, i) => {
    if (i) made.append(document.createElement("wbr"));
    made.append(piece);
  });
  return made;
};
