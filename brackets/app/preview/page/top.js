"use strict";
// What a reader meets first: the worst findings with what to do, where the sections are, and on the picture itself
// whether it shows what is typed.

Brackets.top = function (list, jump, stale, host) {
  const { element } = Brackets;
  const SHORT = {
    findings: "Findings", moved: "Gaps moved", gaps: "Gaps still", slack: "Hoses", links: "Links", props: "Props",
    adjust: "Adjustment", seats: "Seats", rules: "Rules", paths: "Paths", bolts: "Bolts", buy: "Buy", cut: "Cut",
    cautions: "Mind", mass: "Mass", masses: "Masses", pieces: "Pieces", inertia: "Inertia", notes: "Notes",
    drive: "Shafts", values: "Values", strength: "Strength", welds: "Welds", stiffness: "Stiffness", not: "Not checked",
  };
  const COUNTED = new Set(["findings", "moved", "gaps"]);
  const WAIT = 700;  // ms that a shape may take before it is said that what is shown is older
  const top = {};
  let asked = () => {}, timer = null;

  // `chosen` is called with one of the worst when it is clicked.
  top.worst = function (worst, of, chosen) {
    list.hidden = !worst.length;
    list.replaceChildren(...worst.map((one) => {
      const item = element("li", null, { class: one.level }), button = element("button", null, { type: "button", "aria-pressed": "false" });
      button.append(element("b", one.label), Brackets.named("span", `: ${one.piece}: ${one.said}`));
      if (one.do) button.append(element("span", `do: ${one.do}`, { class: "do" }));
      button.addEventListener("click", () => {
        for (const other of list.querySelectorAll("button")) other.setAttribute("aria-pressed", String(other === button));
        chosen(one);
      });
      item.append(button);
      return item;
    }));
    if (of > worst.length && worst.length) list.append(element("li", `the ${worst.length} worst of ${of}; a click shows the place`, { class: "note" }));
  };

  // A list of the sections that are there; a click opens one and goes to it.
  top.sections = function (tables, more) {
    const seen = new Set(), once = ([text, box]) => !box.hidden && !seen.has(text) && seen.add(text);
    const links = [...tables.map(([table, box]) => [name(table), box, COUNTED.has(table.key) ? table.rows.length : 0, table.rows.some((row) => row.level === "stop")]), ...more.map(([text, box]) => [text, box, 0, false])]
      .filter(once);
    jump.hidden = links.length < 4;
    jump.replaceChildren(...links.map(([text, box, count, stops]) => {
      const link = element("a", text, { href: "#", ...(stops ? { class: "stop" } : {}) });
      if (count) link.append(element("span", ` ${count}`, { class: "n" }));
      if (stops) link.append(element("span", " STOP", { class: "n" }));
      link.addEventListener("click", (event) => {
        event.preventDefault();
        box.open = true;
        box.scrollIntoView({ block: "start" });
        const head = box.querySelector("summary");
        if (head) head.focus({ preventScroll: true });
      });
      return link;
    }));
  };
  // What is gone to is not to lie under the list, which stays at the top.
  new ResizeObserver(() => document.documentElement.style.setProperty("--jump", `${jump.offsetHeight}px`)).observe(jump);
  const name = (table) => SHORT[table.key.split(" ")[0]] || table.title.split(":")[0];

  // Why what is typed is not what is shown; `go` is where the first line belongs.
  top.refused = function (lines, shown, go) {
    clearTimeout(timer);
    stale.classList.remove("wait");
    host.classList.toggle("stale", lines.length > 0 && shown);
    stale.hidden = !lines.length;
    asked = go;
    if (!lines.length) return;
    const more = lines.length > 1 ? ` (and ${lines.length - 1} more)` : "";
    stale.replaceChildren(element("strong", "Not shown: "), document.createTextNode(lines[0] + more), element("span", shown ? "What you see is the last good shape." : "There is no good shape yet."));
  };

  // What is typed is still being worked out.
  top.waiting = function (text) {
    clearTimeout(timer);
    if (text === null) { if (stale.classList.contains("wait")) stale.hidden = true; return; }
    timer = setTimeout(() => {
      if (host.classList.contains("stale")) return;
      stale.classList.add("wait");
      stale.hidden = false;
      stale.textContent = text;
    }, WAIT);
  };

  stale.addEventListener("click", () => asked());
  return top;
};

// The way to look at a place from: its line seen from the side, and nothing before it that is not meant.
Brackets.clearest = function (parts, p, q, now, names) {
  const middle = p.clone().add(q).multiplyScalar(0.5), line = q.clone().sub(p), half = line.length() / 2;
  if (half > 1e-6) line.normalize();
  const far = 20 * parts.box().getSize(new THREE.Vector3()).length();
  const ways = [now.clone().normalize()];
  for (const x of [1, -1]) for (const y of [0.8, -0.8]) for (const z of [0.75, -0.4, 0.1]) ways.push(new THREE.Vector3(x, y, z).normalize());
  for (const way of [[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [-1e-4, 0, 1], [-1e-4, 0, -1]]) ways.push(new THREE.Vector3(...way).normalize());
  const free = (way) => {
    const hit = parts.under({ origin: middle.clone().addScaledVector(way, far), direction: way.clone().negate() }, false);
    return !hit || hit.point.clone().sub(middle).dot(way) < half + 1 || names.includes(hit.item.thing) || names.includes(hit.item.name);
  };
  const worth = (way, i) => 1 - Math.abs(way.dot(line)) ** 2 + (i ? 0 : 0.2);
  const order = ways.map((way, i) => ({ way, worth: worth(way, i) })).sort((a, b) => b.worth - a.worth);
  return (order.find(({ way }) => free(way)) || order[0]).way;
};
