"""State of the record: what a person mends is told in their own unit and language."""

import pytest
from markupsafe import Markup

from dashboards import words
from dashboards.prepare.mending import say_odd
from pipeline.core.page_style import PageStyle

MOVED = ("load", "612.3 kg moved; about 64.64 is usual around it")
NO_DAY = ("date", "Date '2026-02-30': no day 30 in month 2 of 2026, read as ymd")


@pytest.mark.parametrize(
    ("unit", "says"),
    [
        ("kg", "load: 612.3 kg moved; about 64.64 is usual around it"),
        ("lb", "load: 1350 lb moved; about 142.5 is usual around it"),
    ],
)
def test_a_doubted_load_is_told_in_the_unit_of_the_lifter(unit: str, says: str) -> None:
    assert say_odd(*MOVED, unit) == says


def test_doubts_of_other_values_have_no_unit_to_change() -> None:
    repeated = ("repetitions", "80 repetitions; about 8 is usual around it")
    assert say_odd(*repeated, "lb") == say_odd(*repeated, "kg")


def test_what_is_doubted_and_why_are_both_told_in_german() -> None:
    with words.written(PageStyle(language="de")):
        assert say_odd(*MOVED, "lb") == "Last: 1350 lb bewegt; üblich sind dort etwa 142,5"
        said = Markup(say_odd(*NO_DAY, "lb")).unescape()
    assert said == "Datum: Date '2026-02-30': kein Tag 30 im Monat 2 von 2026, gelesen als ymd"
