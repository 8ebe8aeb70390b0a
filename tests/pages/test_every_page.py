"""What holds for every page: it opens quietly, asks for nothing, fits, and shows text as text."""

import html
import re
from dataclasses import replace
from datetime import timedelta
from importlib import import_module
from pathlib import Path

import altair as alt
import pytest
from playwright.sync_api import expect

from dashboards import list_pages, render_page
from dashboards.assemble import pictures_of
from dashboards.theme.chart import vega_config
from pipeline.core.page_book import PageBook
from tests.pages.book import make_book
from tests.pages.conftest import HOSTILE, Reader

FILES = [page.file for page in list_pages(make_book())]
MOST_BYTES = 2_000_000
POLICY = re.compile(r'http-equiv="Content-Security-Policy" content="([^"]*)"')


@pytest.mark.parametrize(("size", "scheme"), [("wide", "light"), ("phone", "dark")])
@pytest.mark.parametrize("file", FILES)
def test_opens_quietly_and_fits(reader: Reader, file: str, size: str, scheme: str) -> None:
    opened = reader.open(file, size, scheme)
    page = opened.page
    # The other theme is only other colours of the same drawings.
    page.emulate_media(color_scheme="dark" if scheme == "light" else "light")
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


@pytest.mark.parametrize("file", FILES)
def test_hostile_text_shows_as_text(reader: Reader, file: str) -> None:
    opened = reader.open(file)
    page = opened.page
    assert page.locator("img, [onerror]").count() == 0
    # Data in scripts have "<" written otherwise, so this is text that a reader meets.
    assert HOSTILE in (page.locator("body").text_content() or "") or file.startswith("rowan")
    assert "{{7*7}}".replace("7*7", "49") not in page.content()
    assert opened.said == []


@pytest.mark.parametrize("file", FILES)
def test_is_small(site: Path, file: str) -> None:
    assert (site / file).stat().st_size < MOST_BYTES


@pytest.mark.parametrize("file", FILES)
def test_policy_allows_only_the_scripts_of_the_page(site: Path, file: str) -> None:
    text = (site / file).read_text("utf-8")
    found = POLICY.search(text)
    assert found is not None
    policy = html.unescape(found.group(1))
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    assert "unsafe-eval" not in policy
    scripts = policy.split("script-src ")[1].split(";")[0].split()
    assert all(source.startswith("'sha256-") for source in scripts)
    assert len(scripts) == text.count("<script>")
    assert "http" not in re.sub(
        r'xmlns(:xlink)?="[^"]*"|http-equiv', "", text.split("<script", 1)[0]
    )


def test_an_injected_script_does_not_run(reader: Reader, site: Path, tmp_path: Path) -> None:
    text = (site / "index.html").read_text("utf-8")
    bad = text.replace("</body>", "<script>document.title = 'taken over'</script></body>")
    (site / "injected.html").write_text(bad, "utf-8")
    opened = reader.open("injected.html")
    assert opened.page.title() != "taken over"
    assert any("Content Security Policy" in line for line in opened.said)
    (site / "injected.html").unlink()


@pytest.mark.parametrize("file", FILES)
def test_every_chart_has_words_and_a_table(reader: Reader, file: str) -> None:
    page = reader.open(file).page
    for figure in page.locator("[data-chart]").all():
        assert len(figure.locator("[role=img]").get_attribute("aria-label") or "") > 20
        assert figure.locator(".caption").first.inner_text()
        assert figure.locator("h2").inner_text()


def test_pages_link_only_to_pages_that_exist(reader: Reader, site: Path) -> None:
    for file in FILES:
        page = reader.open(file).page
        for link in page.locator("a[href]").all():
            target = link.get_attribute("href") or ""
            if not target.startswith(("#", "data:")):
                linked = (site / file).parent / target.split("#")[0]
                assert linked.resolve().is_file(), (file, target)


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


def test_charts_follow_the_grammar(book: PageBook) -> None:
    for page in list_pages(book):
        build = import_module(f"dashboards.pages.{page.kind}").build_page
        lifter = next((one for one in book.lifters if one.lifter_id == page.lifter_id), None)
        made = build(book) if lifter is None else build(book, lifter)
        for picture in pictures_of(made.blocks):
            for chart in (picture.wide, picture.narrow):
                with alt.data_transformers.enable("default", max_rows=None):
                    spec = chart.to_dict(validate=True)
                alt.Config.from_dict(vega_config())
                assert spec["$schema"].startswith("https://vega.github.io/schema/vega-lite/v6")


def test_the_same_book_gives_the_same_bytes_and_the_clock_two_pages(book: PageBook) -> None:
    later = replace(book, last_run=book.last_run + timedelta(hours=24))
    moved = [
        page.file
        for page in list_pages(book)
        if page.kind not in ("record", "annual") or page.lifter_id == "rowan"
        if render_page(page, book) != render_page(page, later)
    ]
    assert moved == ["index.html", "aspen/state.html", "rowan/state.html"]
