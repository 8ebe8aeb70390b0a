/* The span of weeks: a bracket on the horizon and on the overview. */
function monthOf(week) {
  const day = new Date(Date.parse(body.firstWeek) + week * 7 * 864e5);
  return words.months[day.getUTCMonth()] + " " + day.getUTCFullYear();
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
