/* Controls and ways out. */
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
  for (const told of document.querySelectorAll("[data-more]")) offerMore(told);
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
  if (table) add("csv", () => saveTable(figure.id + ".csv", table));
}
