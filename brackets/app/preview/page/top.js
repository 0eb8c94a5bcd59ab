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
  const SHOWN = {
    none: ["Not shown: ", "There is no good shape yet."],
    good: ["Not shown: ", "What you see is the last good shape."],
    unchecked: ["Not checked: ", "What you see is as typed, and was not checked."],
  };
  const WAIT = 700;  // ms that a shape may take before it is said that what is shown is older
  const top = {};
  const flat = () => document.documentElement.classList.contains("no-3d");
  let asked = () => {}, timer = null;

  // `chosen` is called with one of the worst when it is clicked, and whether it is of the values before. Each line is
  // written anew in its place: a hand on it stays.
  top.worst = function (worst, of, chosen) {
    list.hidden = !worst.length;
    list.classList.remove("old");
    worst.forEach((one, i) => {
      const item = list.children[i] || list.appendChild(element("li")), key = `${one.label}: ${one.piece}`;
      let button = item.querySelector("button");
      if (!button) {
        button = element("button", null, { type: "button", "aria-pressed": "false" });
        item.replaceChildren(button);
      }
      if (item.dataset.finding !== key) button.setAttribute("aria-pressed", "false");
      item.dataset.finding = key;
      item.className = one.level;
      button.replaceChildren(element("b", one.label), Brackets.named("span", `: ${one.piece}: ${one.said}`), ...(one.do ? [element("span", `do: ${one.do}`, { class: "do" })] : []));
      button.onclick = () => {
        for (const other of list.querySelectorAll("button")) other.setAttribute("aria-pressed", String(other === button));
        chosen(one, list.classList.contains("old"));
      };
    });
    while (list.children.length > worst.length) list.lastChild.remove();
    if (of > worst.length && worst.length) list.append(element("li", `the ${worst.length} worst of ${of}${flat() ? "" : "; a click shows the place"}`, { class: "note" }));
  };

  // The sections that are there, by the question they answer; a click opens one and goes to it.
  const links = new Map(), lines = new Map();
  top.sections = function (tables, more) {
    const all = [...tables.map(([group, table, box]) => [group, name(table), box, COUNTED.has(table.key) ? table.rows.length : 0, table.rows.some((row) => row.level === "stop")]), ...more.map(([text, box]) => ["", text, box, 0, false])];
    const told = all.filter(([, text, box], i) => !box.hidden && all.findIndex(([, other]) => other === text) === i)
      .sort(([, , a], [, , b]) => (a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING ? -1 : 1));
    jump.hidden = told.length < 4;
    document.documentElement.classList.toggle("few", jump.hidden);  // nothing leads back to a list that is not there
    const groups = new Map();
    for (const [group, text, box, count, stops] of told) {
      if (!links.has(text)) links.set(text, made(text));
      const link = links.get(text);
      link.box = box;
      link.node.classList.toggle("stop", stops);
      Brackets.write(link.n, `${count ? ` ${count}` : ""}${stops ? " STOP" : ""}`);
      groups.set(group, [...(groups.get(group) || []), link.node]);
    }
    Brackets.grid.place(jump, [...groups].map(([group, nodes]) => {
      if (!lines.has(group)) lines.set(group, element("p", null, group ? { "data-group": group } : {}));
      const head = lines.get(group).firstChild || element("span", group, { class: "group", ...(group ? {} : { hidden: "" }) });
      Brackets.grid.place(lines.get(group), [head, ...nodes]);
      return lines.get(group);
    }));
  };
  function made(text) {
    const link = { node: element("a", text, { href: "#" }), n: element("span", "", { class: "n" }), box: null };
    link.node.append(link.n);
    link.node.addEventListener("click", (event) => {
      event.preventDefault();
      link.box.open = true;
      link.box.scrollIntoView({ block: "start" });
      const head = link.box.querySelector("summary");
      if (head) head.focus({ preventScroll: true });
    });
    return link;
  }
  top.go = function () {
    jump.scrollIntoView({ block: "start" });
    jump.querySelector("a").focus({ preventScroll: true });
  };
  const name = (table) => SHORT[table.key.split(" ")[0]] || table.title.split(":")[0];

  // Why what is typed is not shown, or not checked; `shown`: a word of SHOWN; `go` is where the first line belongs.
  top.refused = function (lines, shown, go) {
    clearTimeout(timer);
    stale.classList.remove("wait");
    host.classList.toggle("stale", lines.length > 0 && shown !== "none");
    stale.hidden = !lines.length;
    asked = go;
    if (!lines.length) return;
    const more = lines.length > 1 ? ` (and ${lines.length - 1} more)` : "";
    const [not, instead] = SHOWN[shown];
    stale.replaceChildren(element("strong", not), document.createTextNode(lines[0] + more), element("span", instead));
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
