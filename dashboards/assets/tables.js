/* Tables. Of a long one the first rows stand in the page; the rest lies packed beside it and is laid out when asked for. */
const known = new Map();
function linesOf(table) {
  if (!known.has(table)) {
    const lines = [...table.tBodies[0].rows].map((row) => ({ row }));
    const rest = table.parentNode.querySelector("script[data-rest]");
    if (!rest) return lines;
    const packed = JSON.parse(rest.textContent).map(column);
    packed[0].forEach((_, i) => lines.push({ row: null, cells: packed.map((values) => values[i]) }));
    known.set(table, lines);
  }
  return known.get(table);
}
function rowOf(table, line) {
  if (!line.row) {
    line.row = document.createElement("tr");
    line.cells.forEach((html, i) => {
      const cell = line.row.insertCell();
      cell.className = table.tHead.rows[0].cells[i].className;
      cell.innerHTML = html;
    });
  }
  return line.row;
}
const reading = document.createElement("template");
function textsOf(line) {
  /* What stands in the page may have been written anew since. */
  if (line.row) return [...line.row.cells].map((cell) => cell.textContent.trim());
  if (!line.texts) line.texts = line.cells.map((html) => {
    if (!/[<&]/.test(html)) return html.trim();
    reading.innerHTML = html;
    return reading.content.textContent.trim();
  });
  return line.texts;
}
function valueOf(text, isNumber) {
  const thousands = words.decimal === "," ? "." : ",";
  const number = parseFloat(text.replace(/\u2212/g, "-").replaceAll(thousands, "").replace(words.decimal, "."));
  return isNumber ? (isNaN(number) ? -Infinity : number) : text;
}
/* Text in the order of the page's language, Ü beside U; figures within it by their size: line 9 before line 10. */
const collator = new Intl.Collator(document.documentElement.lang, { numeric: true });
function sort(button) {
  const head = button.closest("th");
  const table = head.closest("table");
  const index = [...head.parentNode.children].indexOf(head);
  const down = head.getAttribute("aria-sort") === "ascending";
  for (const other of head.parentNode.children) other.removeAttribute("aria-sort");
  head.setAttribute("aria-sort", down ? "descending" : "ascending");
  const isNumber = head.classList.contains("number");
  const valued = linesOf(table).map((line) => [valueOf(textsOf(line)[index], isNumber), line]);
  const compare = isNumber ? (a, b) => (a < b ? -1 : a > b ? 1 : 0) : collator.compare;
  valued.sort(([a], [b]) => compare(a, b) * (down ? -1 : 1));
  const ordered = valued.map(([, line]) => line);
  if (table.dataset.first) known.set(table, ordered);
  showLines(table, ordered, Number(table.dataset.first) || ordered.length);
}
function showLines(table, all, most) {
  const lines = all.slice(0, most);
  table.tBodies[0].replaceChildren(...lines.map((line) => rowOf(table, line)));
  const told = table.parentNode.nextElementSibling;
  if (table.dataset.first) sayShown(table, told, lines.length);
}
/* How many rows of a long table stand in the page, and the way to more of them. */
function sayShown(table, told, shown) {
  const all = linesOf(table).length;
  told.querySelector("span").textContent = fill(words.rows_shown, { shown: whole(shown), all: whole(all) });
  told.querySelector("button").hidden = shown === all;
}
function whole(number) {
  return String(number).replace(/\B(?=(\d{3})+$)/g, words.decimal === "," ? "." : ",");
}
function offerMore(told) {
  const table = told.previousElementSibling.querySelector("table");
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = words.rows_more;
  button.addEventListener("click", () => showLines(table, linesOf(table), table.tBodies[0].rows.length + 4 * Number(table.dataset.first)));
  const all = document.createElement("button");
  all.type = "button";
  all.textContent = words.csv;
  const name = (table.id || "table") + ".csv";
  all.addEventListener("click", () => saveTable(name, table));
  told.append(button, " ", all);
}
function saveTable(name, table) {
  save(name, "data:text/csv;charset=utf-8," + encodeURIComponent(csvOf(table)));
}
/* Where decimals follow a comma, spreadsheets expect semicolons between cells. */
function csvOf(table) {
  const between = words.decimal === "," ? ";" : ",";
  const quote = (text) => /[",;\n]/.test(text) ? '"' + text.replace(/"/g, '""') + '"' : text;
  const heads = [...table.tHead.rows[0].cells].map((cell) => cell.textContent.trim());
  return [heads, ...linesOf(table).map(textsOf)].map((line) => line.map(quote).join(between)).join("\n");
}
