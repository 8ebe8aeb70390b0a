"""What holds for every page as a file: small, with a strict policy, repeatable to the byte."""

import html
import re
from dataclasses import replace
from datetime import timedelta
from importlib import import_module
from pathlib import Path

import altair as alt
import pytest

from dashboards import list_pages, render_page
from dashboards.assemble import pictures_of
from dashboards.theme.chart import vega_config
from pipeline.core.page_book import PageBook
from tests.pages.conftest import FILES

MOST_BYTES = 2_000_000
POLICY = re.compile(r'http-equiv="Content-Security-Policy" content="([^"]*)"')


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
