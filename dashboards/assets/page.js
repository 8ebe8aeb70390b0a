(function () {
"use strict";
const read = (id) => JSON.parse(document.getElementById(id).textContent);
const words = read("words");
const body = document.body.dataset;
const phone = matchMedia("(max-width:720px)");
const charts = new Map();
const state = { from_week: Number(body.from || 0), to_week: Number(body.to || 0) };
/* A phone opens with one year: two years of single weeks would be half a px each. */
if (phone.matches) state.from_week = Math.max(state.from_week, state.to_week - 52);

/* Frames travel as columns of whole values, runs or differences; here they become rows again. */
const unpacked = new Map();
function column(packed) {
  if (packed.c !== undefined) return Array(packed.n).fill(packed.c);
  if (packed.r) return packed.r.flatMap(([value, times]) => Array(times).fill(value));
  if (packed.d) {
    let at = 0;
    return packed.d.flatMap(([step, times]) => Array.from({ length: times }, () => (at += step)));
  }
  return packed.v;
}
function rows(name) {
  if (!unpacked.has(name)) {
    const frame = read("frame-" + name);
    const columns = frame.columns.map(column);
    const length = columns.length ? columns[0].length : 0;
    unpacked.set(name, Array.from({ length }, (_, i) =>
      Object.fromEntries(frame.names.map((key, j) => [key, columns[j][i]]))));
  }
  return unpacked.get(name).map((row) => ({ ...row }));
}

/* Charts: drawn near the screen first, the rest when the page is idle, all before printing. */
const refuse = () => Promise.reject(new Error("this page asks for nothing outside itself"));
const loader = { load: refuse, sanitize: refuse, http: refuse, file: refuse };
function width() { return phone.matches ? "narrow" : "wide"; }
function specOf(name) {
  const spec = read("spec-" + name + "-" + width());
  spec.datasets = Object.fromEntries(spec.frames.map((frame) => [frame, rows(frame)]));
  delete spec.frames;
  return spec;
}
function draw(figure) {
  const name = figure.dataset.chart;
  const known = charts.get(name);
  if (known && known.width === width()) return known.done;
  if (known && known.view) known.view.finalize();
  const chart = { width: width(), view: null, done: null };
  charts.set(name, chart);
  const line = figure.querySelector("[data-line]");
  const options = {
    mode: "vega-lite", ast: true, actions: false, renderer: "svg", defaultStyle: false, loader,
    tooltip: (handler, event, item, value) => { line.textContent = hoverText(value); },
  };
  chart.done = vegaEmbed(figure.querySelector(".pen"), specOf(name), options).then((result) => {
    chart.view = result.view;
    pass(result.view, Object.keys(state));
    figure.dataset.drawn = chart.width;
    return result.view.runAsync();
  });
  return chart.done;
}
function hoverText(value) {
  if (value === null || value === undefined) return "";
  if (typeof value !== "object") return String(value);
  return Object.entries(value).map(([key, text]) => key + " " + text).join(", ");
}
function pass(view, names) {
  for (const name of names) {
    try { view.signal(name, state[name]); } catch { /* this chart does not listen to it */ }
  }
}
function choose(changes) {
  Object.assign(state, changes);
  for (const { view } of charts.values()) {
    if (view) { pass(view, Object.keys(changes)); view.runAsync(); }
  }
  showChosen(Object.keys(changes));
  placeBrackets();
}
function showChosen(names) {
  for (const name of names) {
    for (const select of document.querySelectorAll(`select[data-param="${name}"]`)) select.value = state[name];
    for (const input of document.querySelectorAll(`[data-pick="${name}"]`)) input.checked = input.value === state[name];
  }
  for (const element of document.querySelectorAll("[data-when]")) {
    const [param, value] = element.dataset.when.split(":");
    if (names.includes(param)) element.hidden = String(state[param]) !== value;
  }
}

/* The span of weeks: a bracket on the horizon and on the overview. */
const monthNames = words.months.split(" ");
function monthOf(week) {
  const day = new Date(Date.parse(body.firstWeek) + week * 7 * 864e5);
  return monthNames[day.getUTCMonth()] + " " + day.getUTCFullYear();
}
function spanTitle() {
  return words.span_title.replace("{from}", monthOf(state.from_week)).replace("{to}", monthOf(state.to_week - 1));
}
function moveSpan(from, to) {
  const weeks = Number(body.weeks);
  const length = Math.min(weeks, Math.max(4, Math.round(to - from)));
  const start = Math.round(Math.min(Math.max(0, from), weeks - length));
  choose({ from_week: start, to_week: start + length });
}
function placeBrackets() {
  const weeks = Number(body.weeks);
  for (const bracket of document.querySelectorAll(".bracket")) {
    bracket.style.left = 100 * state.from_week / weeks + "%";
    bracket.style.width = 100 * (state.to_week - state.from_week) / weeks + "%";
    bracket.setAttribute("aria-valuenow", state.from_week);
    bracket.setAttribute("aria-valuetext", spanTitle());
  }
  for (const select of document.querySelectorAll("select[data-param=span]")) {
    const value = state.from_week + " " + state.to_week;
    select.value = [...select.options].some((option) => option.value === value) ? value : "";
  }
  for (const title of document.querySelectorAll("[data-span-title]")) {
    title.textContent = title.dataset.spanTitle.replace("{span}", spanTitle());
  }
}
function drag(event, axis, bracket) {
  /* Else the browser starts to select text, and the next drag would carry that text away. */
  event.preventDefault();
  bracket.focus();
  const perWeek = axis.getBoundingClientRect().width / Number(body.weeks);
  const start = { x: event.clientX, from: state.from_week, to: state.to_week };
  const edge = event.target.dataset.edge;
  bracket.setPointerCapture(event.pointerId);
  const move = (e) => {
    const by = (e.clientX - start.x) / perWeek;
    if (edge === "from") moveSpan(Math.min(start.from + by, start.to - 4), start.to);
    else if (edge === "to") moveSpan(start.from, Math.max(start.to + by, start.from + 4));
    else moveSpan(start.from + by, start.to + by);
  };
  bracket.addEventListener("pointermove", move);
  bracket.addEventListener("lostpointercapture", () => bracket.removeEventListener("pointermove", move), { once: true });
}
function addBracket(axis) {
  const bracket = document.createElement("div");
  bracket.className = "bracket";
  const roles = { role: "slider", tabindex: "0", "aria-label": words.span_label, "aria-valuemin": "0", "aria-valuemax": body.weeks };
  for (const [key, value] of Object.entries(roles)) bracket.setAttribute(key, value);
  for (const edge of ["from", "to"]) {
    const grip = document.createElement("i");
    grip.dataset.edge = edge;
    bracket.append(grip);
  }
  bracket.addEventListener("pointerdown", (event) => drag(event, axis, bracket));
  bracket.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
    if (!way) return;
    event.preventDefault();
    const by = way * (event.shiftKey ? 52 : 4);
    moveSpan(state.from_week + by, state.to_week + by);
  });
  axis.append(bracket);
  axis.addEventListener("click", (event) => {
    if (event.target !== axis) return;
    const box = axis.getBoundingClientRect();
    const middle = (event.clientX - box.left) / box.width * Number(body.weeks);
    const half = (state.to_week - state.from_week) / 2;
    moveSpan(middle - half, middle + half);
  });
}

/* What lies under the pointer, in one line below the picture; on a phone a tap does the same. */
const under = new Map();
function weekRows(frame) {
  if (!under.has(frame)) {
    const found = new Map();
    for (const row of rows(frame)) if (!row.c) found.set(row.m * 1e5 + row.w, row);
    under.set(frame, found);
  }
  return under.get(frame);
}
function fill(text, values) {
  return text.replace(/\{(\w+)\}/g, (_, key) => values[key]);
}
function dateOf(week) {
  const day = new Date(Date.parse(body.firstWeek) + week * 7 * 864e5);
  return day.getUTCDate() + " " + monthNames[day.getUTCMonth()].slice(0, 3) + " " + day.getUTCFullYear();
}
function placeOf(event, drawing, hover) {
  const box = drawing.getBoundingClientRect();
  const size = drawing.querySelector("svg").viewBox.baseVal;
  const x = (event.clientX - box.left) * size.width / box.width;
  const y = (event.clientY - box.top) * size.width / box.width;
  const at = hover[width()];
  const gap = (m) => hover.families[m] * at.gap;
  const all = hover.names.map((_, m) => m);
  if (at.is_upright) {
    const m = all.filter((i) => x >= at.left + i * at.track + gap(i)).pop();
    return { m, w: Math.floor(at.weeks - (y - at.top) / at.per_week) };
  }
  const from = hover.kind === "span" ? state.from_week : 0;
  const to = hover.kind === "span" ? state.to_week : Number(body.weeks);
  const m = all.filter((i) => y >= at.top + i * at.row + gap(i)).pop();
  return { m, w: Math.floor(from + (x - at.left) / at.plot * (to - from)) };
}
function sourceOf(hover, week) {
  const found = hover.lines.filter((line) => line[0] === week);
  return found.map(([, file, first, last]) =>
    fill(words.hover_lines, { file: hover.files[file], first, last })).join("");
}
function weekText(hover, m, row) {
  const sets = row.v / 10;
  const values = { date: dateOf(row.w), muscle: hover.names[m], direct: row.d, indirect: 2 * (sets - row.d), sets };
  const text = fill(words.hover_week, values);
  if (row.hi === hover.none && row.lo === 0) return text + sourceOf(hover, row.w);
  const edges = { low: Math.round(row.lo / 10), high: Math.round(row.hi / 10) };
  const range = fill(row.hi === hover.none ? words.hover_open : words.hover_range, edges);
  const where = row.v < row.lo ? words.hover_below : row.v > row.hi ? words.hover_above : words.hover_inside;
  return text + fill(where, { range }) + sourceOf(hover, row.w);
}
function watch(figure) {
  const hover = read("hover-" + figure.dataset.chart);
  const drawing = figure.querySelector(".drawing");
  const line = figure.querySelector("[data-line]");
  const tell = (event) => {
    if (!drawing.querySelector("svg.marks")) return null;
    const place = placeOf(event, drawing, hover);
    const row = place.m === undefined ? null : weekRows(hover.frame).get(place.m * 1e5 + place.w);
    line.textContent = row ? weekText(hover, place.m, row) : "";
    return row;
  };
  drawing.addEventListener("pointermove", tell);
  drawing.addEventListener("click", (event) => {
    const row = tell(event);
    if (row && hover[width()].is_upright) moveSpan(row.w - 26, row.w + 26);
  });
}

/* Controls, tables, ways out. */
function listen() {
  for (const select of document.querySelectorAll("select[data-param]")) {
    if (select.dataset.param === "span") {
      const byHand = new Option(words.span_by_hand, "");
      byHand.hidden = true;
      select.append(byHand);
    } else state[select.dataset.param] = select.value;
    select.addEventListener("change", () => {
      if (select.dataset.param === "span") moveSpan(...select.value.split(" ").map(Number));
      else choose({ [select.dataset.param]: select.value });
    });
  }
  showChosen(Object.keys(state));
  for (const button of document.querySelectorAll(".sort")) button.addEventListener("click", () => sort(button));
  for (const place of document.querySelectorAll("[data-ways]")) waysOut(place);
  for (const figure of document.querySelectorAll("[data-hover]")) watch(figure);
  for (const input of document.querySelectorAll("[data-pick]")) offer(input);
}
/* A row of a drawing that can be chosen; what it shows stands in the line while it is looked at. */
function offer(input) {
  const row = input.closest("label");
  const line = input.closest("[data-chart]").querySelector("[data-line]");
  input.addEventListener("change", () => choose({ [input.dataset.pick]: input.value }));
  for (const look of ["pointerenter", "focusin"]) row.addEventListener(look, () => { line.textContent = row.textContent; });
}
function valueOf(cell) {
  const text = cell.textContent.trim();
  const number = parseFloat(text.replace(/\u2212/g, "-").replace(/,/g, ""));
  return cell.classList.contains("number") ? (isNaN(number) ? -Infinity : number) : text.toLowerCase();
}
function sort(button) {
  const head = button.closest("th");
  const table = head.closest("table");
  const index = [...head.parentNode.children].indexOf(head);
  const down = head.getAttribute("aria-sort") === "ascending";
  for (const other of head.parentNode.children) other.removeAttribute("aria-sort");
  head.setAttribute("aria-sort", down ? "descending" : "ascending");
  const lines = [...table.tBodies[0].rows].sort((one, two) => {
    const [a, b] = [valueOf(one.cells[index]), valueOf(two.cells[index])];
    return (a < b ? -1 : a > b ? 1 : 0) * (down ? -1 : 1);
  });
  table.tBodies[0].append(...lines);
}
function save(name, url) {
  const link = document.createElement("a");
  link.download = name;
  link.href = url;
  link.click();
}
function plainSvg(svg) {
  const style = getComputedStyle(document.documentElement);
  const text = new XMLSerializer().serializeToString(svg);
  return text.replace(/var\((--[a-z0-9-]+)\)/g, (_, name) => style.getPropertyValue(name).trim());
}
function savePicture(figure, kind) {
  return draw(figure).then(() => {
    const svg = figure.querySelector(".drawing svg");
    const url = "data:image/svg+xml;charset=utf-8," + encodeURIComponent(plainSvg(svg));
    if (kind === "svg") return save(figure.id + ".svg", url);
    const image = new Image();
    image.onload = () => {
      const canvas = document.createElement("canvas");
      const box = svg.viewBox.baseVal;
      canvas.width = 2 * box.width;
      canvas.height = 2 * box.height;
      const pen = canvas.getContext("2d");
      pen.fillStyle = getComputedStyle(document.documentElement).getPropertyValue("--paper");
      pen.fillRect(0, 0, canvas.width, canvas.height);
      pen.drawImage(image, 0, 0, canvas.width, canvas.height);
      save(figure.id + ".png", canvas.toDataURL("image/png"));
    };
    image.src = url;
  });
}
function csvOf(table) {
  const quote = (text) => /[",\n]/.test(text) ? '"' + text.replace(/"/g, '""') + '"' : text;
  return [...table.rows].map((row) => [...row.cells].map((cell) => quote(cell.textContent.trim())).join(",")).join("\n");
}
function waysOut(place) {
  const figure = place.closest("[data-chart]");
  const table = document.getElementById("table-" + figure.dataset.chart);
  const add = (word, act) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = words[word];
    button.addEventListener("click", act);
    place.append(button);
  };
  add("svg", () => savePicture(figure, "svg"));
  add("png", () => savePicture(figure, "png"));
  if (table) add("csv", () => save(figure.id + ".csv", "data:text/csv;charset=utf-8," + encodeURIComponent(csvOf(table))));
}

/* Start. */
function start() {
  listen();
  const spans = document.querySelector("[data-chart] [data-axis], [data-span-title]");
  if (spans) for (const axis of document.querySelectorAll("[data-axis]")) addBracket(axis);
  placeBrackets();
  const figures = [...document.querySelectorAll("[data-chart]")];
  const drawAll = () => Promise.all(figures.map(draw));
  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) if (entry.isIntersecting) { seen.unobserve(entry.target); draw(entry.target); }
  }, { rootMargin: "200px" });
  figures.forEach((figure) => seen.observe(figure));
  phone.addEventListener("change", drawAll);
  addEventListener("beforeprint", () => {
    for (const fold of document.querySelectorAll("details.fold")) fold.open = true;
    drawAll();
  });
  const idle = window.requestIdleCallback || ((act) => setTimeout(act, 200));
  addEventListener("load", () => idle(drawAll));
}
start();
})();
