"use strict";
// The strips under the picture by which the bolts of a bay are withdrawn and its paths driven. Where one is in hand the
// engine stands at rest: `rest` sees to it.

Brackets.works = function ({ stage, parts, labels, say, rest, seek }) {
  const { element } = Brackets;
  const $ = (id) => document.getElementById(id);
  const bolts = Brackets.bolts({ stage, parts, labels, say, seek });
  const paths = Brackets.paths({ parts, labels, say });
  const works = { bolts, paths };

  works.take = function (header) {
    bolts.take(header && header.bolts);
    paths.take(header && header.paths);
    const none = header ? "none" : "being worked out";
    fill($("bolt-which"), none, bolts.list.map((one) => [one.thing, `${one.good ? "" : "! "}${one.label}`]), bolts.chosen && bolts.chosen.thing);
    fill($("path-which"), none, paths.list.map((one) => [one.name, `${one.good ? "" : "! "}${one.name}`]), paths.chosen && paths.chosen.name);
    for (const id of ["bolt-which", "path-which"]) $(id).disabled = !header;
    // What is here stays until it is known that there is nothing more: else the picture would change its height twice a step.
    if (header) for (const [id, list] of [["bolt-strip", bolts.list], ["bolt-tools", bolts.list], ["path-strip", paths.list]]) $(id).hidden = !list.length;
    marks();
  };
  works.still = function () { choose($("bolt-which"), ""); choose($("path-which"), ""); };

  function choose(select, value) {
    if (select.value === value) return;
    select.value = value;
    select.dispatchEvent(new Event("change"));
  }
  function fill(select, none, options, chosen) {
    const all = [["", none], ...options], same = all.length === select.options.length && all.every(([value, text], i) => select.options[i].value === value && select.options[i].text === text);
    if (!same) select.replaceChildren(...all.map(([value, text]) => element("option", text, { value })));
    select.value = chosen || "";
  }

  function marks() {
    const one = bolts.chosen, way = bolts.way();
    $("bolt-out").disabled = !one;
    $("bolt-out").value = 100 * bolts.share;
    Brackets.write($("bolt-said"), !one ? "" : bolts.share ? Brackets.length(bolts.far(), 0) : "in");
    for (const kind of ["socket", "spanner"]) {
      $(`bolt-${kind}`).disabled = !one;
      $(`bolt-${kind}`).setAttribute("aria-pressed", String(bolts[kind]));
    }
    $("bolt-turned").hidden = !one || one.ways.length < 2;
    $("bolt-turned").setAttribute("aria-pressed", String(way !== null && way.turned));
    const least = paths.least();
    $("path").disabled = !paths.chosen;
    $("path").value = 1000 * paths.share;
    Brackets.write($("path-said"), paths.where());
    $("path-least").disabled = least === null;
    $("path-marks").replaceChildren(...(least === null ? [] : [element("option", null, { value: String(Math.round(1000 * least)) })]));
  }

  $("bolt-which").addEventListener("change", () => { if ($("bolt-which").value) rest(); bolts.choose($("bolt-which").value); bolts.seek(); marks(); });
  $("bolt-out").addEventListener("input", () => { rest(); bolts.set({ share: $("bolt-out").value / 100 }); marks(); });
  for (const kind of ["socket", "spanner", "turned"]) {
    $(`bolt-${kind}`).addEventListener("click", () => { rest(); bolts.set({ [kind]: !bolts[kind] }); marks(); });
  }
  $("bolts-shown").addEventListener("click", () => {
    const names = [...parts.units.values()].filter((unit) => unit.what === "bolt").map((unit) => unit.name);
    const hidden = $("bolts-shown").getAttribute("aria-pressed") === "true";
    $("bolts-shown").setAttribute("aria-pressed", String(!hidden));
    parts.hide(names, hidden);
  });
  $("path-which").addEventListener("change", () => { if ($("path-which").value) rest(); paths.choose($("path-which").value); marks(); });
  $("path").addEventListener("input", () => { rest(); paths.set($("path").value / 1000); marks(); });
  $("path-least").addEventListener("click", () => { rest(); paths.set(paths.least()); marks(); seek(paths.chosen.pair, paths.chosen.least); });
  return works;
};
