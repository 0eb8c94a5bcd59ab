"use strict";
// The controls under the picture that act on it at once: views, switches, what is picked, section, pulling apart, fold.

Brackets.tools = function ({ page, stage, parts, section, labels, measure, things }) {
  const { element } = Brackets;
  const $ = (id) => document.getElementById(id);
  const does = {
    all() { stage.fit(parts.box()); },
    lens() { toggle("lens", (on) => stage.lens(on)); },
    measure() { toggle("measure", (on) => measure.set(on)); },
    gaps() { toggle("gaps", (on) => parts.gaps(on)); },
    axes() { toggle("axes", (on) => parts.axes(on)); },
    dark() { toggle("dark", (on) => theme(on ? "dark" : "light")); },
    save() {
      labels.picture(labels.stamp).toBlob((blob) => {
        const link = element("a", null, { download: `${(page.header ? page.header.title : "picture").replace(/[^\w-]+/g, "_")}.png`, href: URL.createObjectURL(blob) });
        link.click();
        setTimeout(() => URL.revokeObjectURL(link.href), 10000);
      });
    },
    hide() { parts.hide(things.units(), true); things.marks(); },
    only() { parts.only(things.units()); things.marks(); },
    frame() {
      const box = parts.boxOf(page.picked);
      if (!box.isEmpty()) stage.fit(box);
    },
    through() { const mine = things.units(); parts.through(mine, !mine.every((name) => parts.units.get(name).through)); things.marks(); },
    back() { parts.everything(); things.marks(); },
  };
  function toggle(id, call) {
    const on = $(id).getAttribute("aria-pressed") !== "true";
    $(id).setAttribute("aria-pressed", String(on));
    call(on);
  }
  if (stage) for (const id of Object.keys(does)) $(id).addEventListener("click", () => does[id]());

  function theme(name) {
    page.theme = name;
    document.documentElement.classList.toggle("dark", name === "dark");
    $("dark").setAttribute("aria-pressed", String(name === "dark"));
    if (stage) { parts.theme = name; stage.theme(name); parts.setTheme(name); }
  }

  const SLANTS = ["three", "along", "square"];
  function cut(share) {
    const slanted = SLANTS.includes($("section-axis").value), axis = slanted ? "slanted" : $("section-axis").value;
    $("section-at").disabled = !axis;
    section.set(axis, share === undefined ? $("section-at").value / 1000 : share);
    $("section-out").textContent = slanted ? Brackets.length(section.at - section.slanted.from, 1) : axis ? `${axis} = ${section.at.toFixed(1)}` : "";
  }
  // A slanted one lies where it is picked, and is shifted from there.
  const slant = stage && Brackets.slant({ stage, parts, section, measure, laid: held });
  function held(share) {
    $("section-at").value = 1000 * share;
    cut(share);  // exactly there, not where the nearest step of the slider is
  }
  function cutAcross() {
    const kind = $("section-axis").value;
    slant.end();
    if (!SLANTS.includes(kind)) { cut(); return; }
    section.set("", 0);
    $("section-out").textContent = "pick";
    slant.begin(kind);
  }

  function fold() {
    page.folded = $("fold").value / 100;
    $("fold-out").textContent = page.folded === 1 ? "folded" : page.folded === 0 ? "flat" : `${$("fold").value} %`;
    parts.fold(page.folded);
  }

  function apart() {
    parts.apart($("apart").value / 100);
    $("apart-out").textContent = `${$("apart").value} %`;
  }

  if (stage) {
    for (const name of Object.keys(Brackets.VIEWS)) {
      const button = element("button", name, { type: "button", "data-view": name });
      button.addEventListener("click", () => stage.view(name, parts.box()));
      $("views").append(button);
    }
    $("section-axis").addEventListener("change", cutAcross);
    $("section-at").addEventListener("input", () => cut());
    $("apart").addEventListener("input", apart);
    $("fold").addEventListener("input", fold);
  }
  return { does, theme, cut, held, cutAcross, fold, apart, slant };
};
