"use strict";
// The rows of a family: a table that sorts and filters, and a picture of two of its columns. No network, no library.
const data = JSON.parse(document.getElementById("data").textContent);
const head = data.head, rows = data.rows, verdictAt = head.indexOf("verdict"), saysAt = head.indexOf("says"), metAt = head.indexOf("strength_met");
const figure = head.map((_, i) => rows.some((r) => typeof r[i] === "number") &&
  rows.every((r) => r[i] === null || typeof r[i] === "number"));
const pictured = Object.keys(data.pictures).length > 0;
const CHUNK = 300, SVG = "http://www.w3.org/2000/svg";
let by = -1, down = false, shown = CHUNK, lit = null, order = rows;
const find = (id) => document.getElementById(id);
const asks = new Array(head.length).fill("");

const shape = (cell) => cell === null ? "" : typeof cell === "number" ? String(+cell.toPrecision(6)) : String(cell);

function test(ask, i) {  // a function of a cell, or null where nothing is asked
  const text = ask.trim();
  if (!text) return null;
  const span = text.match(/^(-?[\d.]+)\s*\.\.\s*(-?[\d.]+)$/);
  if (figure[i] && span) return (c) => c !== null && c >= +span[1] && c <= +span[2];
  const than = text.match(/^(<=|>=|!=|<|>|=)\s*(-?[\d.]+)$/);
  if (figure[i] && than) {
    const to = +than[2];
    const how = { "<": (c) => c < to, ">": (c) => c > to, "<=": (c) => c <= to, ">=": (c) => c >= to,
      "=": (c) => c === to, "!=": (c) => c !== to }[than[1]];
    return (c) => c !== null && how(c);
  }
  if (figure[i] && /^-?[\d.]+$/.test(text)) return (c) => c === +text;
  const word = text.toLowerCase();
  if (word.startsWith("!")) return (c) => !shape(c).toLowerCase().includes(word.slice(1).trim());
  return (c) => shape(c).toLowerCase().includes(word);
}

function arrange() {
  const tests = asks.map((ask, i) => [test(ask, i), i]).filter(([t]) => t);
  order = rows.filter((r) => tests.every(([t, i]) => t(r[i])));
  if (by >= 0) {
    const sign = down ? -1 : 1;
    order = order.map((r, i) => [r, i]).sort(([a, i], [b, j]) => {
      const x = a[by], y = b[by];
      if (x === null || y === null) return x === y ? i - j : x === null ? 1 : -1;
      return x === y ? i - j : sign * (x < y ? -1 : 1);
    }).map(([r]) => r);
  }
  shown = CHUNK;
  list();
  draw();
}

function list() {
  const body = find("table").tBodies[0], made = document.createDocumentFragment();
  for (const row of order.slice(0, shown)) {
    const tr = made.appendChild(document.createElement("tr"));
    tr.dataset.row = row[0];
    tr.className = row === lit ? "lit" : "";
    if (pictured) {
      const td = tr.appendChild(document.createElement("td")), one = data.pictures[row[0]];
      if (one) {
        const link = td.appendChild(document.createElement("a")), image = link.appendChild(new Image());
        [link.href, link.target, link.title] = [one[1], "_blank", "turn it about"];
        [image.src, image.alt, image.loading] = [one[0], `row ${row[1]}`, "lazy"];
        link.addEventListener("click", (event) => event.stopPropagation());
      }
    }
    row.forEach((cell, i) => {
      const td = tr.appendChild(document.createElement("td"));
      td.textContent = shape(cell);
      if (figure[i]) td.className = "figure";
      if (i === verdictAt) td.className = cell;
      if (i === saysAt) td.className = "says";
    });
    tr.addEventListener("click", () => light(row));
  }
  body.replaceChildren(made);
  find("more").hidden = order.length <= shown;
  find("count").textContent = `${order.length} of ${rows.length} rows`;
}

function light(row) {
  lit = lit === row ? null : row;
  list();
  draw();
  const one = find("one");
  one.replaceChildren();
  if (lit === null) return;
  const dl = one.appendChild(document.createElement("dl"));
  const say = (name, text) => {
    dl.appendChild(document.createElement("dt")).textContent = name;
    dl.appendChild(document.createElement("dd")).textContent = text;
  };
  lit.forEach((cell, i) => { if (cell !== null && cell !== "") say(head[i], shape(cell)); });
  for (const line of data.findings[lit[0] - 1] || []) say(line[0], line[1]);
  const tr = find("table").querySelector("tr.lit");
  if (tr) tr.scrollIntoView({ block: "nearest" });
}

function ticks(lo, hi) {
  const rough = (hi - lo) / 5, ten = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((k) => k * ten).find((k) => k >= rough);
  const found = [];
  for (let at = Math.ceil(lo / step) * step; at <= hi + step * 1e-9; at += step) found.push(+at.toPrecision(10));
  return found;
}

function draw() {
  const svg = find("chart"), x = +find("across").value, y = +find("up").value;
  const part = (name, at, text) => {
    const made = svg.appendChild(document.createElementNS(SVG, name));
    for (const [key, value] of Object.entries(at)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    return made;
  };
  svg.replaceChildren();
  const there = order.filter((r) => r[x] !== null && r[y] !== null);
  if (!there.length) { part("text", { x: 20, y: 40 }, "no row has both figures"); return; }
  const ends = (i) => {
    const all = there.map((r) => r[i]);
    let lo = all.reduce((a, b) => Math.min(a, b)), hi = all.reduce((a, b) => Math.max(a, b));
    const room = (hi - lo) * 0.06 || Math.abs(hi) * 0.1 || 1;
    return [lo - room, hi + room];
  };
  const [x0, x1] = ends(x), [y0, y1] = ends(y);
  const px = (v) => 60 + 560 * (v - x0) / (x1 - x0), py = (v) => 350 - 330 * (v - y0) / (y1 - y0);
  for (const at of ticks(x0, x1)) {
    part("line", { x1: px(at), x2: px(at), y1: 20, y2: 350 });
    part("text", { x: px(at), y: 368, "text-anchor": "middle" }, shape(at));
  }
  for (const at of ticks(y0, y1)) {
    part("line", { x1: 60, x2: 620, y1: py(at), y2: py(at) });
    part("text", { x: 52, y: py(at) + 4, "text-anchor": "end" }, shape(at));
  }
  part("text", { x: 340, y: 392, "text-anchor": "middle" }, head[x]);
  part("text", { x: 60, y: 13 }, head[y]);
  for (const row of there) {
    const r = row === lit ? 7 : 4.5, mark = row === lit ? " lit" : "", cx = px(row[x]), cy = py(row[y]);
    const dot = row[metAt] === "NO"
      ? part("path", { d: `M${cx - r} ${cy - r}L${cx + r} ${cy + r}M${cx - r} ${cy + r}L${cx + r} ${cy - r}`, class: "weak" + mark })
      : part("circle", { cx, cy, r, class: row[verdictAt] + mark });
    dot.appendChild(document.createElementNS(SVG, "title")).textContent =
      `row ${row[1]}: ${head[x]} ${shape(row[x])}, ${head[y]} ${shape(row[y])}`;
    dot.addEventListener("click", () => light(row));
  }
}

const top_ = find("table").tHead.appendChild(document.createElement("tr"));
if (pictured) top_.appendChild(document.createElement("th"));
head.forEach((name, i) => {
  const th = top_.appendChild(document.createElement("th"));
  const sort = th.appendChild(document.createElement("button"));
  sort.type = "button";
  sort.textContent = name;
  sort.addEventListener("click", () => {
    [by, down] = by === i ? [i, !down] : [i, false];
    [...top_.cells].slice(pictured ? 1 : 0).forEach((cell, j) => j === i ? cell.setAttribute("aria-sort", down ? "descending" : "ascending")
      : cell.removeAttribute("aria-sort"));
    arrange();
  });
  const ask = th.appendChild(document.createElement("input"));
  ask.setAttribute("aria-label", `filter ${name}`);
  ask.addEventListener("input", () => { asks[i] = ask.value; arrange(); });
});
for (const [id, first] of [["up", data.up], ["across", data.across]]) {
  head.forEach((name, i) => {
    if (figure[i]) find(id).add(new Option(name, i, false, name === first));
  });
  find(id).addEventListener("change", draw);
}
find("weak").hidden = metAt < 0;
find("opens").hidden = !pictured;
find("more").addEventListener("click", () => { shown += CHUNK; list(); });
arrange();
