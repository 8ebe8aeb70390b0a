"""Drawings are as they were when last looked at; a change is seen, judged and written anew."""

import pytest

from tests.pages.book import make_book
from tests.pages.snapshots import CHARTS, KEPT, draw_snapshots

# Sizes only: nothing in it runs but the making of a record.
NOT_DRAWN = {"__init__", "sizes"}
MOST_BYTES = 400_000


@pytest.fixture(scope="module")
def drawn() -> tuple[dict[str, str], set[str]]:
    return draw_snapshots(make_book())


def test_every_drawing_is_as_kept(drawn: tuple[dict[str, str], set[str]]) -> None:
    drawings, _ = drawn
    kept = {path.stem: path.read_text("utf-8") for path in KEPT.glob("*.svg")}
    changed = sorted(name for name in drawings if drawings[name] != kept.get(name))
    gone = sorted(kept.keys() - drawings.keys())
    remedy = "look at them, then python -m tests.pages.renew_snapshots"
    assert not changed, f"changed: {changed}; {remedy}"
    assert not gone, f"no longer drawn: {gone}; {remedy}"


def test_every_chart_module_is_in_a_drawing(drawn: tuple[dict[str, str], set[str]]) -> None:
    _, used = drawn
    modules = {path.stem for path in CHARTS.glob("*.py")} - NOT_DRAWN
    assert modules - used == set()


def test_kept_drawings_are_small_and_name_no_font() -> None:
    kept = list(KEPT.glob("*.svg"))
    assert sum(path.stat().st_size for path in kept) < MOST_BYTES
    assert [path.name for path in kept if "font-family" in path.read_text("utf-8")] == []
