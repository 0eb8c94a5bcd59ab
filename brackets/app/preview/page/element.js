"use strict";
// Makes what stands on the page; texts are never markup.

Brackets.element = function (tag, text, attributes) {
  const made = document.createElement(tag);
  if (text !== undefined && text !== null) made.textContent = text;
  for (const [name, value] of Object.entries(attributes || {})) made.setAttribute(name, value);
  return made;
};

// Writes a text where it is another than what stands there: the same one written anew has its part of the page painted
// anew, which by software takes as long as the build of a small part.
Brackets.write = function (node, text) {
  if (node.textContent !== text) node.textContent = text;
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
