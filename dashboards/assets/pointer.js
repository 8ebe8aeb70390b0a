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
  return text.replace(/\{(\w+)(:[^{}]*)?\}/g, (_, key, nouns) => values[key] + nounOf(values[key], nouns));
}
/* The noun that a number brings in a text, of one and of many: {n:set|sets}. */
function nounOf(value, nouns) {
  return nouns ? " " + nouns.slice(1).split("|")[String(value) === "1" ? 0 : 1] : "";
}
/* A number as the page writes it. */
function figure(value) {
  return String(value).replace("-", "\u2212").replace(".", words.decimal);
}
function dateOf(week) {
  const day = new Date(Date.parse(body.firstWeek) + week * 7 * 864e5);
  const month = words.short_months[day.getUTCMonth()];
  const iso = day.toISOString().slice(0, 10);
  return fill(words.date, { day: day.getUTCDate(), month, year: day.getUTCFullYear(), iso });
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
  const values = { date: dateOf(row.w), muscle: hover.names[m], direct: figure(row.d), indirect: figure(2 * (sets - row.d)), sets: figure(sets) };
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
