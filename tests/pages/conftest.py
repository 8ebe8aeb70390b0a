"""A headless browser, and the pages of the invented book as files."""

import shutil
from collections.abc import Container, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from dashboards import list_pages, render_page
from pipeline.core.page_book import PageBook
from tests.made_once import make_once
from tests.pages.book import make_book

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
# Everything that people write is shown as it was written, and never read as markup.
HOSTILE = "</script><img src=x onerror=alert(1)>&\"'{{7*7}}"
SIZES = {"wide": (1280, 800), "phone": (390, 844)}
FILES = [page.file for page in list_pages(make_book())]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium as the system has it, else the browser library's own."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=found, args=list(QUIET))
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def book() -> PageBook:
    """The invented book with hostile text wherever people write."""
    return make_book(HOSTILE)


def write_pages(book: PageBook, folder: Path, files: Container[str] = FILES) -> Path:
    """Write these pages of a book into the folder, and give it back."""
    for page in list_pages(book):
        if page.file in files:
            file = folder / page.file
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(render_page(page, book), "utf-8")
    return folder


def loose(text: str) -> str:
    """A text of a page with plain spaces where prose holds a number and its sign together."""
    return text.replace("\N{NO-BREAK SPACE}%", " %")


def broken_texts(cells: str, pattern: str) -> str:
    """A script that lists what matches ``pattern`` in ``cells`` and stands on more than one line,
    with every fold open."""
    return f"""() => {{
  document.querySelectorAll("details").forEach((fold) => {{ fold.open = true; }});
  const broken = [];
  for (const cell of document.querySelectorAll("{cells}")) {{
    const walk = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node; node = walk.nextNode()) {{
      for (const found of node.data.matchAll(/{pattern}/gu)) {{
        const range = document.createRange();
        range.setStart(node, found.index);
        range.setEnd(node, found.index + found[0].length);
        const lines = new Set([...range.getClientRects()].map((box) => Math.round(box.top)));
        if (lines.size > 1) broken.push(found[0]);
      }}
    }}
  }}
  return broken;
}}"""


@pytest.fixture(scope="session")
def site(book: PageBook, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All pages of the book, written to a folder once for all processes of the run."""

    return make_once(tmp_path_factory, "pages", lambda folder: write_pages(book, folder))


@dataclass
class Opened:
    """An open page with all that it said and asked for."""

    page: Page
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def all_drawn(self) -> None:
        """Wait until no chart is left to draw."""
        expect(self.page.locator("[data-chart]:not([data-drawn])")).to_have_count(0, timeout=30_000)


class Reader:
    """Opens pages in fresh contexts and listens to them."""

    def __init__(self, browser: Browser, site: Path) -> None:
        self._browser, self._site = browser, site
        self._contexts: list[BrowserContext] = []

    def open(
        self, file: str, size: str = "wide", scheme: str = "light", scripts: bool = True
    ) -> Opened:
        """One page at one size and theme."""
        width, height = SIZES[size]
        context = self._browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme=scheme,  # type: ignore[arg-type]
            java_script_enabled=scripts,
        )
        self._contexts.append(context)
        opened = Opened(context.new_page())
        opened.page.on("console", lambda line: opened.said.append(line.text))
        opened.page.on("pageerror", lambda error: opened.said.append(str(error)))
        opened.page.on("dialog", lambda dialog: opened.said.append(dialog.message))
        opened.page.on("request", lambda request: opened.asked.append(request.url))
        opened.page.goto((self._site / file).as_uri())
        if scripts:
            opened.all_drawn()
        return opened

    def close(self) -> None:
        """Close what was opened."""
        while self._contexts:
            self._contexts.pop().close()


@pytest.fixture
def reader(browser: Browser, site: Path) -> Iterator[Reader]:
    """Opens pages of the invented book."""
    made = Reader(browser, site)
    yield made
    made.close()


@pytest.fixture(scope="module")
def reader_of_file(browser: Browser, site: Path) -> Iterator[Reader]:
    """Opens pages for all tests of a file: those only read what is open."""
    made = Reader(browser, site)
    yield made
    made.close()
