"""Accessibility: the rules of WCAG as axe-core checks them, on every page, in both themes."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from dashboards import list_pages
from tests.pages.book import make_book
from tests.pages.conftest import Reader

FILES = [page.file for page in list_pages(make_book())]
GRAVE = ("serious", "critical")
# What passes is not written out node by node: a third of the time, the same findings.
OPTIONS = {"resultTypes": ["violations"]}
# Elements that still move although less motion was asked for; words in the colour of their ground.
MOVING = """[...document.querySelectorAll("*")].filter((one) => {
  const style = getComputedStyle(one);
  return style.animationName !== "none" || parseFloat(style.transitionDuration) > 0;
}).length"""
HIDDEN = """[...document.querySelectorAll("h1, h2, p, td")].filter((one) => {
  const style = getComputedStyle(one);
  return style.color === style.backgroundColor;
}).length"""


@pytest.mark.parametrize(("size", "scheme"), [("wide", "light"), ("phone", "dark")])
@pytest.mark.parametrize("file", FILES)
def test_nothing_grave_is_found_and_nothing_moves_or_hides(
    reader: Reader, file: str, size: str, scheme: str
) -> None:
    page = reader.open(file, size, scheme).page
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    found = Axe().run(page, options=OPTIONS).response["violations"]
    told = [(one["id"], one["nodes"][0]["html"][:120]) for one in found if one["impact"] in GRAVE]
    assert told == []
    page.emulate_media(forced_colors="active", reduced_motion="reduce")
    assert page.evaluate(MOVING) == 0
    assert page.evaluate(HIDDEN) == 0


def test_grave_findings_are_seen(reader: Reader) -> None:
    page = reader.open(FILES[0]).page
    page.evaluate("document.querySelector('h1').style.color = '#ddd8cc'")
    found = Axe().run(page, options=OPTIONS).response["violations"]
    assert "color-contrast" in [one["id"] for one in found]
