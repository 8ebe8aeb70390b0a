"""One alone is told in the singular, in English and, by its plural, in every other language."""

import re
from pathlib import Path

import polars as pl
import pytest

import pipeline
from dashboards import words
from dashboards.numbers import count
from dashboards.told import is_left, told_plain
from pipeline.core.counted import as_counted, as_many, say_count
from pipeline.core.errors import Refusal
from pipeline.core.page_style import PageStyle
from pipeline.findings.balance.weeks import answer_balance
from pipeline.findings.support import support_search, support_sets
from tests.simulated_record import weeks_of

# Counts of nothing that could be one: whole numbers only end in these in the plural.
NO_NOUN = {
    "% a year, the surest lower end of any group of blocks",
    "between the sessions' strength (log)",
}


def counted_in_program() -> list[str]:
    """What refusals count, read from the program, without those put together from parts."""
    found = set()
    for path in Path(pipeline.__file__).parent.rglob("*.py"):
        text = path.read_text("utf-8")
        found |= set(re.findall(r'\bof_what="([^"{]+)"', text))
        found |= set(re.findall(r'\bRefusal\([^"={]*, "([a-z][^"{]+)"', text))
    return sorted(found - NO_NOUN)


@pytest.mark.parametrize(
    ("number", "of_what", "said"),
    [
        (1, "trained weeks in this span", "1 trained week in this span"),
        (0, "priority phases that could be read", "0 priority phases that could be read"),
        (1.0, "people with a step", "1 person with a step"),
        (1.5, "years of record", "1.5 years of record"),
        (1, "lifters with a level at two times", "1 lifter with a level at two times"),
        (1, "points between blocks", "1 point between blocks"),
    ],
)
def test_one_alone_stands_in_the_singular(number: float, of_what: str, said: str) -> None:
    assert say_count(number, of_what) == said
    assert as_many(as_counted(number, of_what)) == of_what


def test_every_count_of_a_refusal_has_its_singular_and_is_told_in_every_language() -> None:
    counted = counted_in_program()
    assert len(counted) > 30
    for of_what in counted:
        one = Refusal(1, 2, of_what, "keep logging")
        assert one.why != f"1 {of_what}, 2 needed", of_what
        assert as_many(as_counted(1, of_what)) == of_what
        with words.written(PageStyle("de")):
            assert not is_left(one.why), of_what
            assert told_plain(one.why) == told_plain(f"1 {of_what}, 2 needed"), of_what


def test_a_refusal_of_one_is_told_whole() -> None:
    one = Refusal(1, 8, "trained weeks in this span", "take a longer span")
    assert one.sentence() == (
        "Not enough: 1 trained week in this span, 8 needed; take a longer span."
    )
    with words.written(PageStyle("de")):
        assert told_plain(one.sentence()) == (
            "Nicht genug: Trainingswochen in diesem Zeitraum: 1, nötig 8; einen längeren "
            "Zeitraum nehmen."
        )


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("about 1 more week of training like this", "noch etwa 1 Woche solchen Trainings"),
        ("about 3 more weeks of training like this", "noch etwa 3 Wochen solchen Trainings"),
        (
            "so since 3 Mar 2025, 1 training week",
            "so seit dem 3.\xa0März\xa02025, 1 Trainingswoche",
        ),
        ("chest 1 weekly set under what holds it", "Brust 1 Wochensatz unter dem, was hält"),
    ],
)
def test_a_number_brings_its_noun_in_both_languages(english: str, german: str) -> None:
    with words.written(PageStyle("de")):
        assert told_plain(english) == german


@pytest.mark.parametrize(
    ("why", "english", "german"),
    [
        (support_sets(1, 0.5, True, 1.0).why, "1 block, 8 for fair", "1 Block, 8 für „mittel“"),
        (support_sets(2, 0.5, True, 1.0).why, "2 blocks, 8 for fair", "2 Blöcke, 8 für „mittel“"),
        (
            support_search(1, "blocks").why,
            "1 block; picked from many, so its interval says too much",
            "1 Block; aus vielen ausgewählt, darum sagt das Intervall zu viel",
        ),
    ],
)
def test_reasons_count_one_in_the_singular(why: str, english: str, german: str) -> None:
    assert why == english
    with words.written(PageStyle("de")):
        assert told_plain(why) == german


def test_the_balance_of_a_first_week_counts_one_in_the_singular(two_years) -> None:
    week = weeks_of(two_years.record).head(1)
    one = week.with_columns(pushing_sets=pl.lit(1.0), pulling_sets=pl.lit(1.0))
    sentence = answer_balance(two_years.record, one).sentence
    assert sentence.startswith(
        "1 set of rows and pulldowns and 1 set of presses in the last week: 1.00"
    )
    with words.written(PageStyle("de")):
        assert not is_left(sentence)
        assert told_plain(sentence).startswith("1 Satz Rudern und Latzug und 1 Satz Drücken")


def test_a_text_of_a_page_counts_one_in_the_singular() -> None:
    for language, one, many in (
        ("en", "1 lift has too few", "1,000 lifts have too few"),
        ("de", "1 Übung hat zu wenige", "1.000 Übungen haben zu wenige"),
    ):
        with words.written(PageStyle(language)):
            assert words.plain("lifts.second_refused", n=1).startswith(one)
            assert words.say("lifts.second_refused", n=count(1000)).startswith(many)
