const read = (id) => JSON.parse(document.getElementById(id).textContent);
const words = read("words");
const locale = read("locale");
const body = document.body.dataset;
const phone = matchMedia("screen and (max-width:720px)");
const charts = new Map();
const state = { from_week: Number(body.from || 0), to_week: Number(body.to || 0) };
/* Where weeks are drawn one by one a phone opens with one year: of two, each would be half as wide. */
if (phone.matches && document.querySelector("[data-chart=span]")) state.from_week = Math.max(state.from_week, state.to_week - 52);

/* Frames travel as columns of values, runs, differences or places in a list; here they become rows again. */
const SIGNS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+-";
const digits = new Map([...SIGNS].map((sign, digit) => [sign, digit]));
const unpacked = new Map();
/* Differences as signs, low digits of 32 first; the last digit of each is of the lower half. */
function steps(text) {
  const values = [];
  let at = 0, rest = 0, unit = 1;
  for (const sign of text) {
    const digit = digits.get(sign);
    rest += unit * (digit % 32);
    unit *= 32;
    if (digit > 31) continue;
    values.push(at += rest % 2 ? -(rest + 1) / 2 : rest / 2);
    rest = 0;
    unit = 1;
  }
  return values;
}
function column(packed) {
  if (packed.c !== undefined) return Array(packed.n).fill(packed.c);
  if (packed.r) return packed.r.flatMap(([value, times]) => Array(times).fill(value));
  if (packed.k) return steps(packed.i).map((at) => packed.k[at]);
  if (packed.z !== undefined) return steps(packed.z).map((whole) => whole / packed.p);
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
    mode: "vega-lite", ast: true, expr: expressions, actions: false, renderer: "svg", defaultStyle: false, loader,
    formatLocale: locale.numbers, timeFormatLocale: locale.times,
    tooltip: (handler, event, item, value) => { line.textContent = hoverText(value); },
  };
  chart.done = vegaEmbed(figure.querySelector(".pen"), specOf(name), options).then((result) => {
    chart.view = result.view;
    // The drawing has a name as a whole and its table; its marks one by one tell nobody more.
    figure.querySelector(".pen svg").setAttribute("aria-hidden", "true");
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
  keep(changes);
  for (const { view } of charts.values()) {
    if (view) { pass(view, Object.keys(changes)); view.runAsync(); }
  }
  showChosen(Object.keys(changes));
  placeBrackets();
  tellChanges();
}
function showChosen(names) {
  for (const name of names) {
    for (const select of document.querySelectorAll(`select[data-param="${name}"]`)) select.value = state[name];
    for (const input of document.querySelectorAll(`[data-pick="${name}"]`)) input.checked = input.value === state[name];
  }
  for (const picks of document.querySelectorAll("[data-order]")) if (names.includes(picks.dataset.order)) arrange(picks);
  for (const element of document.querySelectorAll("[data-when]")) {
    const [param, values] = element.dataset.when.split(/:(.*)/);
    if (names.includes(param)) element.hidden = !values.split(",").includes(String(state[param]));
  }
}
/* Rows that can be chosen stand as the rows of their drawing do, for the pointer and for the keyboard. */
function arrange(picks) {
  const place = (row) => JSON.parse(row.dataset.places)[state[picks.dataset.order]];
  const tops = [...picks.children].map((row) => parseFloat(row.style.top)).sort((a, b) => a - b);
  [...picks.children].sort((a, b) => place(a) - place(b)).forEach((row, i) => {
    row.style.top = tops[i] + "%";
    picks.append(row);
  });
}
