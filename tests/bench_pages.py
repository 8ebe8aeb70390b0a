"""Bars of the pages in headless Chromium, on a book of twelve years and thirty muscles.

Every page is opened three times at each of two sizes, and the middle figure held against its bar:
the first screen drawn, all charts drawn as the page draws them by itself, and a change of each
control (to its first, middle and last value), of the span and of a table's order answered, up to
the frame that shows it. Beside each time stands the processor time of the page's own thread, which
a busy machine does not stretch: a bar that is missed by the clock alone is marked BUSY and counts
as missed until it is run in quiet.
Beside the first screen stands the processor time of all charts, which the first ones are a part of.
"""

import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

from playwright.sync_api import Browser, CDPSession, sync_playwright

from dashboards import list_pages, render_page
from tests.pages.book import make_book
from tests.pages.conftest import NAMES, QUIET, SIZES
from tests.pages.group_book import group_book

MUSCLES, LIFTERS = 30, 1000
MEAN = (1.0, 0.4, 2.2)
TURNS = 3
MOST_FIRST_S, MOST_DRAWING_S, MOST_ANSWER_S = 1.2, 2.0, 0.150
MOST_MB = 2.0

# Keeps when each chart stood, on the clock that starts with the page.
LISTEN = """
window.drawnAt = new Map();
new MutationObserver((changes) => {
  for (const { target } of changes) if (target.dataset.drawn && !drawnAt.has(target.id)) {
    drawnAt.set(target.id, null);
    requestAnimationFrame(() => setTimeout(() => drawnAt.set(target.id, performance.now())));
  }
}).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-drawn"] });
window.isDrawn = () => document.readyState === "complete"
  && [...document.querySelectorAll("[data-chart]")].every((one) => drawnAt.get(one.id));
window.hasPainted = () => performance.getEntriesByName("first-contentful-paint").length > 0;
"""
TIMES = """() => {
  const charts = [...document.querySelectorAll("[data-chart]")];
  const shown = performance.getEntriesByName("first-contentful-paint")[0].startTime;
  const late = (some) => Math.max(shown, ...some.map((one) => drawnAt.get(one.id))) / 1000;
  const isFirst = (one) => one.getBoundingClientRect().top < innerHeight;
  return [late(charts.filter(isFirst)), late(charts)];
}"""
ACTS = """() => {
  window.acts = [];
  for (const one of document.querySelectorAll("select[data-param]")) {
    const choose = (place) => () => {
      one.selectedIndex = place;
      one.dispatchEvent(new Event("change", { bubbles: true }));
    };
    const { length } = one.options;
    const values = { first: one.selectedIndex ? 0 : 1, middle: length >> 1, last: length - 1 };
    for (const [which, place] of Object.entries(values).slice(0, length > 2 ? 3 : length - 1)) {
      acts.push([`choose ${which} ${one.dataset.param}`, one, choose(place)]);
    }
  }
  const bracket = document.querySelector(".bracket");
  const key = () => new KeyboardEvent("keydown", { key: "ArrowLeft", bubbles: true });
  if (bracket) acts.push(["move the span", bracket, () => bracket.dispatchEvent(key())]);
  for (const table of document.querySelectorAll("table")) {
    const head = table.querySelector(".sort");
    const rows = table.tBodies[0].rows.length;
    if (head) acts.push([`sort ${rows} rows`, head, () => head.click()]);
  }
  return acts.map(([name]) => name);
}"""
# Seconds until the frame after the last change of the page that an act brought about.
ANSWER = """async (place) => {
  const frame = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  const [, element, act] = acts[place];
  const fold = element.closest("details");
  if (fold) fold.open = true;
  await frame();
  await frame();
  let changed = true, quiet = 0, answered = 0;
  const watch = new MutationObserver(() => { changed = true; });
  const all = { subtree: true, childList: true, attributes: true, characterData: true };
  watch.observe(document, all);
  const began = performance.now();
  act();
  while (quiet < 6) {
    await frame();
    quiet += 1;
    if (changed) { changed = false; quiet = 0; answered = performance.now(); }
  }
  watch.disconnect();
  return (answered - began) / 1000;
}"""


@dataclass
class Seconds:
    """By what was done: (wall, processor) of each turn, seconds."""

    taken: dict[str, list[tuple[float, float]]] = field(default_factory=dict)

    def add(self, what: str, wall: float, processor: float) -> None:
        """One turn."""
        self.taken.setdefault(what, []).append((wall, processor))

    def middle(self, what: str) -> tuple[float, float]:
        """Median wall and median processor time."""
        walls, processors = zip(*self.taken[what], strict=True)
        return median(walls), median(processors)


def write_site(folder: Path) -> Iterator[str]:
    """Write every page of the large book's first lifter and of a large group; their files."""
    book, many = make_book(shown=MUSCLES), group_book(make_book(), LIFTERS, MEAN)
    pages = [(page, book) for page in list_pages(book) if page.kind != "group"]
    pages = [(page, own) for page, own in pages if page.lifter_id != book.lifters[1].lifter_id]
    pages += [(page, many) for page in list_pages(many) if page.kind == "group"]
    for page, own in pages:
        file = folder / page.file
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(render_page(page, own), "utf-8")
        yield page.file


def processor_time(session: CDPSession) -> float:
    """Seconds that the page's own thread has worked."""
    metrics = session.send("Performance.getMetrics")["metrics"]
    return float(next(one["value"] for one in metrics if one["name"] == "TaskDuration"))


def open_once(browser: Browser, path: Path, size: str, seconds: Seconds) -> None:
    """Open a page in a fresh context, let it draw, then use everything that can be changed."""
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height})
    try:
        context.add_init_script(LISTEN)
        page = context.new_page()
        session = context.new_cdp_session(page)
        session.send("Performance.enable", {"timeDomain": "threadTicks"})
        page.goto(path.as_uri())
        page.wait_for_function("() => isDrawn() && hasPainted()", timeout=120_000)
        worked = processor_time(session)
        first, everything = page.evaluate(TIMES)
        seconds.add("first screen", first, min(worked, first))
        seconds.add("all charts", everything, worked)
        for place, what in enumerate(page.evaluate(ACTS)):
            before = processor_time(session)
            wall = page.evaluate(ANSWER, place)
            seconds.add(what, wall, min(wall, processor_time(session) - before))
    finally:
        context.close()


def judge_seconds(what: str, wall: float, processor: float, bar: float) -> bool:
    """Print one bar with wall and processor time; whether it holds by the clock."""
    word = "holds " if wall <= bar else "BUSY  " if processor <= bar else "MISSED"
    print(f"{word}  {what}: {wall:.2f} s, processor {processor:.2f} s (at most {bar:g} s)")
    return wall <= bar


def say_scale() -> None:
    """Print what share of a core this process gets, and how long fixed arithmetic takes it."""
    began, worked = time.perf_counter(), time.process_time()
    sum(i * i for i in range(10_000_000))
    wall, processor = time.perf_counter() - began, time.process_time() - worked
    print(
        f"        machine: ten million squares {processor:.2f} s, {processor / wall:.0%} of a core"
    )


def bench_pages(only: str = "") -> bool:
    """Times and sizes of every page whose file holds ``only``."""
    folder = Path(tempfile.mkdtemp())
    holds = []
    try:
        files = [name for name in write_site(folder) if only in name]
        say_scale()
        with sync_playwright() as playwright:
            found = next(path for name in NAMES if (path := shutil.which(name)))
            browser = playwright.chromium.launch(executable_path=found, args=list(QUIET))
            for name in files:
                size_mb = (folder / name).stat().st_size / 1e6
                word = "holds " if size_mb <= MOST_MB else "MISSED"
                print(f"{word}  size of {name}: {size_mb:.2f} MB (at most {MOST_MB:g} MB)")
                holds.append(size_mb <= MOST_MB)
                for size in SIZES:
                    holds += _judge_page(browser, folder / name, name, size)
            browser.close()
        say_scale()
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    return all(holds)


def _judge_page(browser: Browser, path: Path, name: str, size: str) -> list[bool]:
    seconds = Seconds()
    for _ in range(TURNS):
        open_once(browser, path, size, seconds)
    bars = {"first screen": MOST_FIRST_S, "all charts": MOST_DRAWING_S}
    return [
        judge_seconds(
            f"{name} {size}, {what}", *seconds.middle(what), bars.get(what, MOST_ANSWER_S)
        )
        for what in seconds.taken
    ]


if __name__ == "__main__":
    sys.exit(not bench_pages(*sys.argv[1:]))
