/* Start. */
function start() {
  listen();
  const spans = document.querySelector("[data-chart] [data-axis], [data-span-title], [data-changes]");
  if (spans) for (const axis of document.querySelectorAll("[data-axis]")) addBracket(axis);
  placeBrackets();
  takeKept();
  tellChanges();
  const figures = [...document.querySelectorAll("[data-chart]")];
  const drawAll = () => Promise.all(figures.map(draw));
  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) if (entry.isIntersecting) { seen.unobserve(entry.target); draw(entry.target); }
  }, { rootMargin: "200px" });
  figures.forEach((figure) => seen.observe(figure));
  phone.addEventListener("change", drawAll);
  addEventListener("beforeprint", drawAll);
  /* A link to a section opens what is folded in it. */
  const aim = () => {
    const part = document.getElementById(location.hash.slice(1));
    for (const fold of part ? part.querySelectorAll(":scope > details.fold") : []) fold.open = true;
  };
  addEventListener("hashchange", aim);
  aim();
  for (const button of document.querySelectorAll("[data-print]")) {
    button.hidden = false;
    button.addEventListener("click", () => { document.documentElement.dataset.only = ""; print(); });
  }
  addEventListener("afterprint", () => { delete document.documentElement.dataset.only; });
  const idle = window.requestIdleCallback || ((act) => setTimeout(act, 200));
  addEventListener("load", () => idle(drawAll));
}
start();
