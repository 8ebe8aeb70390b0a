"""State of the record: what a person mends is told in their own unit and language."""

import pytest
from markupsafe import Markup

from dashboards import words
from dashboards.prepare.mending import say_odd
from pipeline.core.page_style import PageStyle

MOVED = {"what": "load", "why": None, "found": 612.3499, "usual": 64.637, "unit": "kg"}
REPEATED = {"what": "repetitions", "why": None, "found": 80.0, "usual": 8.0, "unit": "repetitions"}
NO_DAY = {
    "what": "date",
    "why": "Date '2026-02-30': no day 30 in month 2 of 2026, read as ymd",
    "found": None,
}


@pytest.mark.parametrize(
    ("unit", "says"),
    [
        ("kg", "load: 612.3 kg moved; about 64.64 is usual around it"),
        ("lb", "load: 1350 lb moved; about 142.5 is usual around it"),
    ],
)
def test_a_doubted_load_is_told_in_the_unit_of_the_lifter(unit: str, says: str) -> None:
    assert say_odd(MOVED, unit) == says


def test_doubts_of_other_values_have_no_unit_to_change() -> None:
    says = "repetitions: 80 repetitions; about 8 is usual around it"
    assert say_odd(REPEATED, "lb") == say_odd(REPEATED, "kg") == says


def test_a_load_of_five_figures_is_no_power_of_ten() -> None:
    assert "12350 kg moved" in say_odd(MOVED | {"found": 12346.0}, "kg")


def test_what_is_doubted_and_why_are_both_told_in_german() -> None:
    with words.written(PageStyle(language="de")):
        assert say_odd(MOVED, "lb") == "Last: 1350 lb bewegt; üblich sind dort etwa 142,5"
        assert say_odd(REPEATED, "lb") == (
            "Wiederholungen: 80 Wiederholungen; üblich sind dort etwa 8"
        )
        said = Markup(say_odd(NO_DAY, "lb")).unescape()
    assert said == "Datum: Date '2026-02-30': kein Tag 30 im Monat 2 von 2026, gelesen als ymd"
