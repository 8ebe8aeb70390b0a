/* Change of every lift over the bracketed span, by the rules of prepare/lift_spans.py. */
const packedChanges = document.getElementById("changes-data");
const lifts = packedChanges ? read("changes-data") : null;
for (const lift of lifts ? lifts.lifts : []) for (const name of ["weeks", "level", "upto"]) lift[name] = steps(lift[name]);
function signedNumber(value, decimals = 1) {
  const text = Math.abs(value).toFixed(decimals).replace(".", words.decimal);
  if (Number(value.toFixed(decimals)) === 0) return text;
  return (value < 0 ? "\u2212" : "+") + text;
}
function intervalText(low, high) {
  const decimals = Math.min(Math.abs(low), Math.abs(high)) < 0.05 ? 2 : 1;
  return words.span_interval.replace("{low}", signedNumber(low, decimals)).replace("{high}", signedNumber(high, decimals));
}
function nearestWeek(weeks, week) {
  let best = 0;
  weeks.forEach((one, at) => { if (Math.abs(one - week) < Math.abs(weeks[best] - week)) best = at; });
  return best;
}
function changeOf(lift, start, end) {
  const i = nearestWeek(lift.weeks, start), j = nearestWeek(lift.weeks, end);
  if (i >= j) return null;
  const at = 2 * (j * (j - 1) / 2 + i), sign = (k) => digits.get(lift.errors[at + k]);
  const error = 64 * sign(0) + sign(1);
  if (error === 4095) return null;
  const logs = [0, -1, 1].map((side) => (lift.level[j] - lift.level[i] + side * lifts.reach * error) / lifts.scale);
  const years = (lift.weeks[j] - lift.weeks[i]) / lifts.year;
  const mass = lifts.mass * Math.exp(lift.level[i] / lifts.scale);
  return {
    lift, first: lift.weeks[i], last: lift.weeks[j], trained: lift.upto[j] - lift.upto[i] + Number(lift.own[i]),
    rate: logs.map((value) => 100 * value / years), gain: logs.map((value) => mass * (Math.exp(value) - 1)),
  };
}
/* Texts of the page with names in them: a name is text, whatever it holds, and keeps its direction. */
function isolated(name) {
  const own = document.createElement("bdi");
  own.textContent = name;
  return own;
}
function listed(names) {
  return names.flatMap((name, i) => i ? [", ", isolated(name)] : [isolated(name)]);
}
function compose(template, values) {
  return template.split(/(<b>.*?<\/b>|\{\w+(?::[^{}]*)?\})/).flatMap((part) => {
    if (part.startsWith("<b>")) {
      const bold = document.createElement("b");
      bold.append(...compose(part.slice(3, -4), values));
      return [bold];
    }
    const name = part.match(/^\{(\w+)(:.*)?\}$/);
    return name ? [values[name[1]], nounOf(values[name[1]], name[2])].flat() : [part];
  });
}
function saySpan(changes) {
  const rose = changes.filter((one) => one.rate[1] > 0);
  const values = { span: spanTitle(), rose: String(rose.length), of: String(changes.length) };
  if (!rose.length) return compose(words.span_none, values);
  const first = rose[0], near = changes.filter((one) => one !== first && one.rate[2] >= first.rate[1]).length;
  Object.assign(values, {
    name: isolated(first.lift.word), rate: signedNumber(first.rate[0]), interval: intervalText(first.rate[1], first.rate[2]),
    gain: signedNumber(first.gain[0]), unit: lifts.unit, near: String(near), others: String(changes.length - 1),
  });
  const alone = near ? words.span_only_near : words.span_only;
  const several = near ? words.span_leads : words.span_most;
  return compose(rose.length === 1 ? alone : several, values);
}
function changeRow(change, axis) {
  const [rate, low, high] = change.rate;
  const place = (value) => 100 * (Math.min(Math.max(value, axis[0]), axis[1]) - axis[0]) / (axis[1] - axis[0]) + "%";
  const row = document.createElement("tr");
  const heads = document.querySelectorAll("[data-changes] thead th");
  const cell = (kind, ...parts) => {
    const made = document.createElement(kind === "name" ? "th" : "td");
    made.className = kind;
    if (kind === "name") made.scope = "row";
    if (kind === "number") made.dataset.head = heads[row.children.length].textContent;
    made.append(...parts);
    row.append(made);
  };
  const small = (text) => Object.assign(document.createElement("small"), { textContent: text });
  const isFar = Math.max(Math.abs(change.first - state.from_week), Math.abs(change.last - state.to_week + 1)) > lifts.far;
  const own = words.span_title.replace("{from}", monthOf(change.first)).replace("{to}", monthOf(change.last));
  cell("name", isolated(change.lift.name), ...(isFar ? [" ", small(words.span_own.replace("{span}", own))] : []));
  const mark = document.createElement("span");
  mark.className = "reach " + (low > 0 ? "progress" : high < 0 ? "loss" : "");
  for (const [name, left, right] of [["zero", 0, 0], ["bar", low, high], ["dot", rate, rate]]) {
    const part = document.createElement("i");
    part.className = name;
    part.style.left = place(left);
    if (name === "bar") part.style.right = 100 - parseFloat(place(right)) + "%";
    mark.append(part);
  }
  cell("mark", mark);
  for (const [middle, from, to] of [change.rate, change.gain]) {
    const bold = Object.assign(document.createElement("b"), { textContent: signedNumber(middle) });
    cell("number", bold, " " + intervalText(from, to));
  }
  cell("support", words.span_support.replace("{support}", lifts.support).replace("{n}", String(change.trained)));
  return row;
}
function tellChanges() {
  if (!lifts) return;
  const found = lifts.lifts.map((lift) => [lift, changeOf(lift, state.from_week, state.to_week - 1)]);
  const changes = found.map(([, change]) => change).filter(Boolean);
  changes.sort((a, b) => b.rate[0] - a.rate[0] || (a.lift.name < b.lift.name ? -1 : 1));
  const axis = [
    Math.max(lifts.axis[0], Math.min(-1, ...changes.map((one) => one.rate[1]))),
    Math.min(lifts.axis[1], Math.max(1, ...changes.map((one) => one.rate[2]))),
  ];
  const place = document.querySelector("[data-changes]");
  const rest = found.filter(([, change]) => !change).map(([lift]) => lift.name);
  place.hidden = false;
  place.querySelector(".sentence").replaceChildren(...saySpan(changes));
  place.querySelector("tbody").replaceChildren(...changes.map((one) => changeRow(one, axis)));
  place.querySelector(".table").hidden = !changes.length;
  place.querySelector(".rest").replaceChildren(...(rest.length ? compose(words.span_rest, { names: listed(rest), change_weeks: lifts.least }) : []));
}
