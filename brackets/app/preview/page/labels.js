"use strict";
// Words over the picture, each with a leader to what it speaks of; drawn on a canvas of their own, so that a saved
// picture has them too.

Brackets.INKS = {
  light: { paper: "rgba(255,253,248,0.92)", quiet: "#3c4146", good: "#1d5c42", bad: "#a81717", mark: "#b3470b", ink: "#23262a" },
  dark: { paper: "rgba(33,36,38,0.92)", quiet: "#c9c9c6", good: "#8fcbb3", bad: "#ff8a80", mark: "#f0a05a", ink: "#e6e3dc" },
};

Brackets.labels = function (stage, parts, host) {
  const AXES = [["x", "#b03a2e", ["front", "rear"]], ["y", "#2f8d45", ["left", "right"]], ["z", "#3d7fd0", ["top", "under"]]];
  const labels = { extra: [], strokes: [], layers: new Map(), cursor: null, drawn: [], stamp: "", taken: [] };  // strokes: see stroke(); layers: tags and strokes of others; taken: each says what it covers, {x, y, w, h} px
  const words = over("words"), axes = over("triad");
  const pen = words.getContext("2d");
  let axesOf = "";

  function over(id) {
    const canvas = Brackets.element("canvas", null, { id, class: "over", "aria-hidden": "true" });
    host.append(canvas);
    return canvas;
  }

  // A canvas covers what is written and no more: each is laid over the whole of the page at every step.
  function lay(canvas, box) {
    const ratio = Math.min(window.devicePixelRatio || 1, 2), { x, y, w, h } = box;
    const style = { left: `${x}px`, top: `${y}px`, width: `${w}px`, height: `${h}px` };
    canvas.hidden = w <= 0 || h <= 0;
    if (canvas.hidden) return;
    for (const [key, value] of Object.entries(style)) if (canvas.style[key] !== value) canvas.style[key] = value;
    const [wide, high] = [Math.round(w * ratio), Math.round(h * ratio)];
    if (canvas.width !== wide || canvas.height !== high) { canvas.width = wide; canvas.height = high; }
    const ink = canvas.getContext("2d");
    ink.setTransform(ratio, 0, 0, ratio, -x * ratio, -y * ratio);
    ink.clearRect(x, y, w, h);
  }

  labels.draw = function () {
    const w = host.clientWidth, h = host.clientHeight;
    const ink = Brackets.INKS[parts.theme];
    const boxes = [], taken = labels.taken.map((call) => call()).filter(Boolean);
    labels.drawn = [];
    triad(h);
    const layers = [...labels.layers.values()];
    for (const tag of [...(parts.tags || []), ...layers.flatMap((one) => one.tags), ...labels.extra]) {
      const at = stage.at(tag.at);
      if (at.z > 1 || at.x < -20 || at.y < -20 || at.x > w + 20 || at.y > h + 20) continue;
      pen.font = font(tag);
      const wide = pen.measureText(tag.text).width + 10;
      const { x, y } = free(at, wide, w, h, [...taken, ...boxes]);
      boxes.push({ x, y, w: wide, tag, at });
    }
    const strokes = [...layers.flatMap((one) => one.strokes), ...labels.strokes].map((one) => ({ ...one, at: one.points.map((p) => stage.at(p)) })).filter((one) => one.at.every((p) => p.z <= 1));
    lay(words, extent(boxes, strokes.flatMap((one) => one.at), w, h));
    for (const one of strokes) stroke(one, ink);
    for (const { x, y, w: wide, tag, at } of boxes) {
      pen.strokeStyle = pen.fillStyle = ink[tag.colour] || ink.ink;
      pen.lineWidth = 1;
      pen.beginPath(); pen.moveTo(at.x, at.y); pen.lineTo(Math.min(Math.max(at.x, x), x + wide), Math.min(Math.max(at.y, y), y + 20)); pen.stroke();
      pen.beginPath(); pen.arc(at.x, at.y, 2.5, 0, 7); pen.fill();
    }
    for (const { x, y, w: wide, tag } of boxes) {
      pen.font = font(tag);
      pen.fillStyle = ink.paper;
      pen.fillRect(x, y, wide, 20);
      pen.strokeStyle = pen.fillStyle = ink[tag.colour] || ink.ink;
      pen.strokeRect(x + 0.5, y + 0.5, wide - 1, 19);
      pen.fillText(tag.text, x + 5, y + 14.5);
      labels.drawn.push({ text: tag.text, x, y });
    }
    if (labels.cursor) {
      const { x, y } = labels.cursor;
      pen.strokeStyle = ink.ink;
      pen.lineWidth = 1.5;
      pen.beginPath(); pen.moveTo(x - 12, y); pen.lineTo(x + 12, y); pen.moveTo(x, y - 12); pen.lineTo(x, y + 12); pen.stroke();
    }
  };

  // A line over the picture: {points, colour, wide px, dash, arrows at both ends, dot in place of a line}.
  function stroke({ at, colour, wide, dash, arrows, dot }, ink) {
    pen.strokeStyle = pen.fillStyle = ink[colour] || ink.ink;
    pen.lineWidth = wide;
    pen.setLineDash(dash || []);
    pen.beginPath();
    if (dot) { pen.arc(at[0].x, at[0].y, 4, 0, 7); pen.stroke(); return; }
    at.forEach((p, i) => (i ? pen.lineTo(p.x, p.y) : pen.moveTo(p.x, p.y)));
    pen.stroke();
    pen.setLineDash([]);
    if (arrows) for (const [tip, from] of [[at[0], at[1]], [at[at.length - 1], at[at.length - 2]]]) arrow(tip, from, Math.hypot(at[at.length - 1].x - at[0].x, at[at.length - 1].y - at[0].y));
  }

  // Inside where there is room for both, else from outside.
  function arrow(tip, from, room) {
    const way = Math.atan2(from.y - tip.y, from.x - tip.x) + (room < 26 ? Math.PI : 0);
    pen.beginPath();
    pen.moveTo(tip.x, tip.y);
    for (const turn of [0.17, -0.17]) pen.lineTo(tip.x + 11 * Math.cos(way + turn), tip.y + 11 * Math.sin(way + turn));
    pen.closePath();
    pen.fill();
  }

  const font = (tag) => `${tag.strong ? "600 " : ""}13px system-ui, sans-serif`;

  // Where a box may stand, off the others: up to the right first, then round its point, the nearest first.
  function free(at, wide, w, h, boxes) {
    for (let ring = 0; ring < 16; ring++) {
      for (let i = 0; i < 16; i++) {
        const turn = Math.PI / 4 + (2 * Math.PI * i) / 16;
        const x = at.x + Math.cos(turn) * (wide / 2 + 20 + 20 * ring) - wide / 2, y = at.y - Math.sin(turn) * (26 + 22 * ring) - 10;
        if (x < 0 || y < 0 || x > w - wide || y > h - 20) continue;
        if (!boxes.some((b) => x < b.x + b.w + 1 && x + wide + 1 > b.x && y < b.y + (b.h || 20) + 1 && y + 21 > b.y)) return { x, y };
      }
    }
    return { x: Math.min(Math.max(at.x, 0), w - wide), y: Math.min(Math.max(at.y, 0), h - 20) };
  }

  // What the words, their leaders and the cross cover, within the picture; in steps, so that the canvas seldom grows.
  function extent(boxes, points, w, h) {
    const reach = boxes.map(({ x, y, w: wide, at }) => [Math.min(x, at.x) - 4, Math.min(y, at.y) - 4, Math.max(x + wide, at.x) + 4, Math.max(y + 20, at.y) + 4]);
    for (const p of points) reach.push([p.x - 14, p.y - 14, p.x + 14, p.y + 14]);
    if (labels.cursor) reach.push([labels.cursor.x - 14, labels.cursor.y - 14, labels.cursor.x + 14, labels.cursor.y + 14]);
    if (!reach.length) return { x: 0, y: 0, w: 0, h: 0 };
    const GRID = 32, low = (i) => Math.max(Math.floor(Math.min(...reach.map((r) => r[i])) / GRID) * GRID, 0);
    const high = (i, most) => Math.min(Math.ceil(Math.max(...reach.map((r) => r[i])) / GRID) * GRID, most);
    const x = low(0), y = low(1);
    return { x, y, w: high(2, w) - x, h: high(3, h) - y };
  }

  // The axes, small, at the bottom left.
  function triad(h) {
    const turn = stage.camera.quaternion.clone().invert();
    const now = [...turn.toArray().map((v) => v.toFixed(4)), h, window.devicePixelRatio].join();
    if (now === axesOf) return;
    axesOf = now;
    lay(axes, { x: 0, y: h - 84, w: 84, h: 84 });
    const pen = axes.getContext("2d");
    pen.font = "12px system-ui, sans-serif";
    AXES.forEach(([name, colour], i) => {
      const way = new THREE.Vector3().setComponent(i, 26).applyQuaternion(turn);
      pen.strokeStyle = pen.fillStyle = colour;
      pen.lineWidth = 2;
      pen.beginPath(); pen.moveTo(42, h - 42); pen.lineTo(42 + way.x, h - 42 - way.y); pen.stroke();
      pen.fillText(name, 42 + way.x * 1.35 - 3, h - 42 - way.y * 1.35 + 4);
    });
  }

  // Which view the end of an axis stands for that is at a place on the page, and the one from behind; else null.
  labels.axisAt = function (x, y) {
    const h = host.clientHeight, turn = stage.camera.quaternion.clone().invert();
    const far = AXES.map(([, , views], i) => {
      const way = new THREE.Vector3().setComponent(i, 26).applyQuaternion(turn);
      const [dx, dy] = [42 + way.x * 1.2 - x, h - 42 - way.y * 1.2 - y];
      return { views, off: Math.hypot(dx, dy), before: way.z };
    }).filter((one) => one.off < 13).sort((p, q) => q.before - p.before);
    return far.length ? far[0].views : null;
  };

  // `stamp`: what is said across the top of a picture that is not of what is typed.
  labels.picture = function (stamp) {
    stage.draw(true);
    const whole = document.createElement("canvas");
    whole.width = stage.canvas.width; whole.height = stage.canvas.height;
    const brush = whole.getContext("2d");
    brush.drawImage(stage.canvas, 0, 0);
    const scale = whole.width / host.clientWidth;
    for (const canvas of [axes, words]) {
      if (canvas.hidden) continue;
      const [x, y, w, h] = [canvas.offsetLeft, canvas.offsetTop, canvas.offsetWidth, canvas.offsetHeight].map((v) => v * scale);
      brush.drawImage(canvas, x, y, w, h);
    }
    if (stamp) {
      const ink = Brackets.INKS[parts.theme];
      brush.font = `600 ${14 * scale}px system-ui, sans-serif`;
      brush.fillStyle = ink.paper;
      brush.fillRect(0, 0, whole.width, 28 * scale);
      brush.fillStyle = ink.bad;
      brush.fillText(stamp, 8 * scale, 19 * scale);
    }
    return whole;
  };

  stage.after.push(labels.draw);
  return labels;
};
