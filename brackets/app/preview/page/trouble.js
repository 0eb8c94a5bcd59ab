"use strict";
// What is refused and why, beside its field and on the picture; what was written; news.

Brackets.trouble = function ({ page, fields, engine, top, labels, send, form }) {
  const { element } = Brackets;
  const $ = (id) => document.getElementById(id);

  function trouble(header) {
    const box = $("trouble");
    const rest = header ? [...header.lines] : [], lost = [], all = [...rest];
    if (header && header.forms && Object.keys(header.forms).length && !Object.keys(page.forms).length) { page.forms = header.forms; form(); }
    const at = header ? header.fields : {};
    const strange = fields.wrong(at);
    for (const [part, problems] of Object.entries(at)) {
      for (const [name, line] of Object.entries(problems)) {
        const said = part ? `${part}: ${line}` : line;
        all.unshift(said);
        if (strange.includes(line)) lost.push([said, part, name]);
        else if (part) rest.push(said);  // its field may be folded away
      }
    }
    box.replaceChildren(...rest.map((line) => element("p", line)), ...lost.map(([said, part, name]) => {
      const row = element("div", null, { class: "row" }), undo = element("button", "undo", { type: "button", "aria-label": `undo ${part} ${name}` });
      undo.addEventListener("click", () => send({ do: "set", part, values: { [name]: null } }));
      row.append(element("p", said), undo);
      return row;
    }));
    const trace = header && header.trace.length;
    if (trace && !all.length) all.push(header.trace[header.trace.length - 1]);
    const some = page.header !== null && page.header.items.length > 0, unchecked = Boolean(header && header.unchecked);
    top.refused(all, !some ? "none" : unchecked ? "unchecked" : "good", () => toTrouble(at));
    if (labels) labels.stamp = all.length ? `${unchecked ? "as typed; not checked" : "last good shape; not shown"}: ${all[0]}` : "";
    if (header && header.trace.length) box.append(element("pre", header.trace.join("\n")));
    box.hidden = !rest.length && !lost.length && !trace;
    document.body.dataset.refused = header ? String(header.seq) : "";
  }

  // To the first field that is wrong, or to the sentences that belong to none.
  function toTrouble(at) {
    if (engine.part in at && !$("engine-box").hidden) { engine.to(Object.keys(at[engine.part])[0]); return; }
    const [part, problems] = Object.entries(at).find(([name]) => name in page.forms) || [];
    if (part === undefined) { $("trouble").scrollIntoView({ block: "start" }); return; }
    $("values").open = true;
    const field = fields.field(part, Object.keys(problems)[0]);
    if (!field) { $("trouble").scrollIntoView({ block: "start" }); return; }
    field.scrollIntoView({ block: "center" });
    field.focus();
  }

  function tell(lines, done) {
    Brackets.write($("notice"), lines.join("\n"));
    $("notice").classList.toggle("bad", done === false && lines[0].startsWith("Nothing"));
    $("notice").hidden = !lines.length;
    if (lines.length) $("notice").scrollIntoView({ block: "nearest" });
  }
  function news(lines) {
    Brackets.write($("news"), lines.join("\n"));
    $("news").hidden = !lines.length;
  }
  return { trouble, tell, news };
};
