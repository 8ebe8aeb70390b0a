"""Charts by the page's own expressions draw what the drawing library's own interpreter draws."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.pages.conftest import FILES, Reader

# What the page hands to the library, and the policy, which knows the script by its hash.
HANDED = re.compile(r" expr: expressions,")
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')
DRAWINGS = "[...document.querySelectorAll('[data-chart] .pen svg')].map((one) => one.outerHTML)"
CHOOSE = """() => {
  for (const one of document.querySelectorAll("select[data-param]")) {
    one.selectedIndex = one.options.length >> 1;
    one.dispatchEvent(new Event("change", { bubbles: true }));
  }
}"""


def drawings_of(reader: Reader, file: str, size: str) -> list[list[str]]:
    """All drawings of a page as it opens, and after every control has another value."""
    opened = reader.open(file, size)
    found = [opened.page.evaluate(DRAWINGS)]
    opened.page.evaluate(CHOOSE)
    opened.page.wait_for_timeout(400)
    found.append(opened.page.evaluate(DRAWINGS))
    assert opened.said == []
    assert all(found)
    return found


@pytest.mark.parametrize(
    ("file", "size"),
    [
        # the drawings of Year by year are still ones
        *((f, "wide") for f in FILES if f.startswith("aspen") and not f.endswith("annual.html")),
        ("group.html", "wide"),
        *((file, "phone") for file in ("aspen/record.html", "group.html")),
    ],
)
def test_drawings_are_those_of_the_library(
    browser: Browser, site: Path, tmp_path: Path, file: str, size: str
) -> None:
    text, handed = HANDED.subn("", (site / file).read_text("utf-8"))
    text, policies = POLICY.subn("", text)
    assert (handed, policies) == (1, 1)
    (tmp_path / file).parent.mkdir(exist_ok=True)
    (tmp_path / file).write_text(text, "utf-8")
    own, library = Reader(browser, site), Reader(browser, tmp_path)
    try:
        assert drawings_of(own, file, size) == drawings_of(library, file, size)
    finally:
        own.close()
        library.close()
