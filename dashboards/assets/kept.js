/* What the reader chose on one page goes along, in the address, to every page that is opened from it. */
const carried = {};
function takeKept() {
  if (!location.hash.includes("=")) return;
  const told = Object.fromEntries(new URLSearchParams(location.hash.slice(1)));
  const from = parseInt(told.from_week, 10), to = parseInt(told.to_week, 10);
  if (body.weeks && from >= 0 && to > from) {
    moveSpan(from, to);
  }
  /* A link may say at which drawing it lands. */
  if (told.at) document.getElementById(told.at)?.scrollIntoView();
  if (!told.muscle) return;
  keep({ muscle: told.muscle });
  const offered = [...document.querySelectorAll("select[data-param=muscle] option, [data-pick=muscle]")];
  if (offered.some((one) => one.value === told.muscle)) choose({ muscle: told.muscle });
}
function keep(changes) {
  for (const name of ["from_week", "to_week", "muscle"]) if (name in changes) carried[name] = changes[name];
}
function carry(event) {
  const link = event.target.closest("a[href]");
  /* Weeks count from the first of this record: they mean nothing on a page of another. */
  const folder = (path) => path.slice(0, path.lastIndexOf("/"));
  if (!link || folder(link.pathname) !== folder(location.pathname)) return;
  const hasOwn = link.getAttribute("href").includes("#") && !("carried" in link.dataset);
  if (hasOwn || !Object.keys(carried).length) return;
  link.dataset.carried = "";
  link.hash = new URLSearchParams(carried).toString();
}
for (const kind of ["click", "auxclick"]) document.addEventListener(kind, carry, true);
