"""Cards of a phone: heads and widths of a table's columns in its style attribute."""

import re

from markupsafe import Markup

from dashboards.blocks import Column, Table
from dashboards.stacks import stack_style


def test_heads_for_a_style_attribute_stay_one_text_each() -> None:
    columns = tuple(map(Column, ("weeks", 'say "a;b"', "c\\")))
    assert stack_style(Table(columns, (("1", "2", "3"),))) == (
        '--h1:"weeks";--h2:"say \\22 a;b\\22 ";--h3:"c\\5c "'
    )


def test_short_figures_take_a_fourth_and_longer_ones_half_of_a_card() -> None:
    said = {"2025": "9.7", "2024": "9.4", "last 26 weeks": "<b>10.8</b>"}
    assert spans_of(said) == {"2025": 1, "2024": 1, "last 26 weeks": 2}


def test_a_few_short_figures_among_longer_ones_stand_as_those_do() -> None:
    said = {"sleep": "305", "resting heart rate": "350", "with recorded reserve": "193"}
    assert set(spans_of(said).values()) == {2}


def test_a_figure_too_long_for_half_a_card_has_a_line_of_its_own() -> None:
    said = {"change of the index, % a year": "+0.7 (-0.1 to +1.5)", "blocks": "17"}
    assert spans_of(said) == {"blocks": 2}


def test_a_figure_alone_among_texts_begins_where_they_begin() -> None:
    columns = (Column("lift"), Column("from"), Column("weeks", "number"), Column("support"))
    style = stack_style(Table(columns, (("lat pulldown", "8 Nov 2021", "201", "thin"),)))
    assert "--l3:0 0 112px" in style
    assert "--s3" not in style


def spans_of(said: dict[str, str]) -> dict[str, int]:
    """Columns of four that each figure takes, by its head; the first column is a name."""
    columns = (Column("muscle"), *(Column(head, "number") for head in said))
    style = stack_style(Table(columns, (("lats", *map(Markup, said.values())),)))
    spans = re.findall(r"--s(\d+):span (\d)", style)
    return {columns[int(i) - 1].head: int(span) for i, span in spans}
