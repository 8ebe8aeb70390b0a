"""The table of set notation in DEVELOPERS.md is true: every line of it is read."""

import re
from pathlib import Path

import pytest

from pipeline.tidy.notation import Notation, NotationError, parse_sets, print_sets

ROOT = Path(__file__).parents[2]
ROW = re.compile(r"\| `(?P<text>.+)` \| (?:`(?P<order>.+)`)? ?\| (?P<means>.+) \|")


def table_rows() -> list[tuple[str, str | None, str]]:
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    section = guide.split("### Set notation by example", 1)[1].split("\n## ", 1)[0]
    found = [ROW.fullmatch(line) for line in section.splitlines() if line.startswith("| `")]
    return [(m["text"], m["order"], m["means"]) for m in found if m is not None]


@pytest.mark.parametrize(("text", "order", "means"), table_rows())
def test_a_line_of_the_guide_is_true(text, order, means):
    stated = re.fullmatch(r'load\.plates = "(.+)"', order or "")
    notation = Notation(plates=stated[1]) if stated else Notation(*([order] if order else []))
    if means.startswith("refused: "):
        with pytest.raises(NotationError) as caught:
            parse_sets(text, notation)
        assert caught.value.remedy.startswith(means.removeprefix("refused: "))
        return
    assert print_sets(parse_sets(text, notation), Notation()) == means.strip("`")


def test_every_line_of_the_guide_is_tried():
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    section = guide.split("### Set notation by example", 1)[1].split("\n## ", 1)[0]
    assert len(table_rows()) == section.count("\n| `") > 50
