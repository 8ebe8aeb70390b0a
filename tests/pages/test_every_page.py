"""What holds for every open page: quiet, asks for nothing, fits, shows text as text, for all eyes.

The accessibility rules are those of WCAG as axe-core checks them.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.pages.conftest import FILES, HOSTILE, Opened, Reader

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
LOOKS = [
    pytest.param((file, size, scheme), id=f"{file}-{size}-{scheme}")
    for file in FILES
    for size, scheme in (("wide", "light"), ("phone", "dark"))
]


class Look(NamedTuple):
    """A page of one file, opened in one theme."""

    file: str
    scheme: str
    opened: Opened


@pytest.fixture(scope="module", params=LOOKS)
def look(request: pytest.FixtureRequest, reader_of_file: Reader) -> Iterator[Look]:
    """Each page at two sizes and themes, opened once for all the tests that only read it."""
    file, size, scheme = request.param
    yield Look(file, scheme, reader_of_file.open(file, size, scheme))
    reader_of_file.close()


def test_opens_quietly_and_fits(look: Look) -> None:
    opened, page = look.opened, look.opened.page
    # The other theme is only other colours of the same drawings.
    page.emulate_media(color_scheme="dark" if look.scheme == "light" else "light")
    page.emulate_media(color_scheme=look.scheme)  # type: ignore[arg-type]
    assert opened.said == []
    assert [url for url in opened.asked if not url.startswith(("file:", "data:"))] == []
    assert len([url for url in opened.asked if url.startswith("file:")]) == 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    charts = page.locator("[data-chart]").count()
    assert page.locator("[data-chart] svg.marks").count() == charts
    shown = page.locator("[data-chart]:visible svg.marks")
    for box in (shown.nth(i).bounding_box() for i in range(shown.count())):
        assert box is not None
        assert box["width"] > 200
        assert box["height"] > 20


# Both ways of a sheet of A4, inside its margins and out of them, in px of print.
PAPER = (1032, 794, 703)


def test_nothing_runs_past_the_paper(look: Look) -> None:
    page = look.opened.page
    size = page.viewport_size
    assert size is not None
    page.emulate_media(media="print")
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    wide = {}
    for width in PAPER:
        page.set_viewport_size({"width": width, "height": 1000})
        wide[width] = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = false")
    page.emulate_media(media="screen")
    page.set_viewport_size(size)
    assert {width: over for width, over in wide.items() if over > 0} == {}


# A sheet of A4 inside its margins, px of print: its height on its side, height and width upright.
LYING, UPRIGHT, UPRIGHT_WIDTH = 718, 1047, 703
FIGURES = """(tall) => [...document.querySelectorAll(tall ? ".tall" : ".picture:not(.tall)")]
  .map((figure) => [figure.id, figure.getBoundingClientRect().height])"""
# A page that was opened on a phone draws anew for paper.
DRAWN_WIDE = """() => [...document.querySelectorAll("[data-chart]")]
  .every((figure) => figure.dataset.drawn === "wide")"""


def test_each_drawing_fits_one_sheet_with_its_words(look: Look) -> None:
    page = look.opened.page
    size = page.viewport_size
    assert size is not None
    page.emulate_media(media="print")
    high = []
    for width, height, is_tall in ((PAPER[0], LYING, False), (UPRIGHT_WIDTH, UPRIGHT, True)):
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_function(DRAWN_WIDE)
        high += [one for one in page.evaluate(FIGURES, is_tall) if one[1] > height]
    kept = page.locator(".picture").evaluate_all(
        "(found) => found.map((figure) => getComputedStyle(figure).breakInside)"
    )
    dragged = page.locator(".dragged:visible").count()
    page.emulate_media(media="screen")
    page.set_viewport_size(size)
    assert high == []
    assert set(kept) <= {"avoid"}
    assert dragged == 0


def test_heads_are_printed_again_on_a_continued_page(look: Look) -> None:
    page = look.opened.page
    page.emulate_media(media="print")
    # A button is never painted a second time, so on paper only its words are there.
    shown = page.locator("th button").evaluate_all(
        "(found) => found.map((button) => getComputedStyle(button).display)"
    )
    page.emulate_media(media="screen")
    assert set(shown) <= {"contents"}


def test_every_horizon_says_what_its_bands_are(look: Look) -> None:
    for horizon in look.opened.page.locator(".horizon").all():
        bands = horizon.locator("xpath=following-sibling::*[1]")
        assert bands.inner_text().startswith("Weekly sets")
        drawn = horizon.locator("svg:visible [fill*='-within']").evaluate_all(
            "(beds) => new Set(beds.map((bed) => bed.getAttribute('fill'))).size"
        )
        assert bands.locator("svg").count() == drawn > 0


def test_hostile_text_shows_as_text(look: Look) -> None:
    page = look.opened.page
    assert page.locator("img, [onerror]").count() == 0
    # Data in scripts have "<" written otherwise, so this is text that a reader meets.
    assert HOSTILE in (page.locator("body").text_content() or "") or look.file.startswith("rowan")
    assert "{{7*7}}".replace("7*7", "49") not in page.content()
    assert look.opened.said == []


def test_every_chart_has_words_and_a_table(look: Look) -> None:
    for figure in look.opened.page.locator("[data-chart]").all():
        assert len(figure.locator("[role=img]").get_attribute("aria-label") or "") > 20
        assert figure.locator(".caption").first.inner_text()
        assert figure.locator("h2").inner_text()


def test_links_lead_only_to_pages_that_exist(look: Look, site: Path) -> None:
    links = look.opened.page.locator("a[href]").evaluate_all(
        "found => found.map((one) => one.getAttribute('href'))"
    )
    assert links
    for target in links:
        if not target.startswith(("#", "data:")):
            linked = (site / look.file).parent / target.split("#")[0]
            assert linked.resolve().is_file(), target


def test_nothing_grave_is_found_and_nothing_moves_or_hides(look: Look) -> None:
    page = look.opened.page
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


def test_an_injected_script_does_not_run(reader: Reader, site: Path) -> None:
    text = (site / "index.html").read_text("utf-8")
    bad = text.replace("</body>", "<script>document.title = 'taken over'</script></body>")
    (site / "injected.html").write_text(bad, "utf-8")
    opened = reader.open("injected.html")
    assert opened.page.title() != "taken over"
    assert any("Content Security Policy" in line for line in opened.said)
    (site / "injected.html").unlink()


def test_paper_has_only_the_folds_that_the_reader_opened(reader: Reader) -> None:
    page = reader.open("aspen/volume.html").page
    opened = page.locator("details.fold", has_text="How this was worked out")
    opened.locator("summary").click()
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    expect(opened).to_be_visible()
    expect(page.locator("details.fold:visible")).to_have_count(1)
    assert page.evaluate(
        "getComputedStyle(document.documentElement).getPropertyValue('--paper')"
    ) == ("#FAF7F0")


def test_without_scripts_the_main_picture_stands(reader: Reader) -> None:
    page = reader.open("aspen/record.html", scripts=False).page
    still = page.locator("#overview .still svg, #overview noscript svg").first
    assert still.bounding_box()["width"] > 600  # type: ignore[index]
    assert "side delts" in still.inner_html()
