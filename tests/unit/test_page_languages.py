"""A translation says all that English says: the same files, keys, places and tags."""

import re
import string
import tomllib
from collections import Counter
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from dashboards import numbers, words
from dashboards.told import names, told, told_pairs, told_plain
from pipeline.core.dictionary import columns_of
from pipeline.core.page_style import CHOICES, PageStyle
from tests.unit.test_page_texts import TEXTS

LANGUAGES = Path(words.__file__).parent / "languages"
OTHERS = [one for one in CHOICES["language"] if one != "en"]
TAG = re.compile(r"</?[a-z]+\b[^>]*>")
PLACE_OR_TAG = re.compile(r"{[^}]*}|<[^>]*>")
WORD = re.compile(r"[a-z]{3}")
# Names, units and words that are the same in both languages.
ALIKE = {
    "de": {
        *("frame.product", "frame.title", "frame.title_bare"),
        *("lifts.plateau_title", "methods.deload_title", "next_phase.sheet_minutes"),
        "nights.reading_resting_hr_bpm",
    }
}


def texts_of(language: str) -> dict[str, dict[str, str]]:
    """Texts by file and key."""
    files = sorted((LANGUAGES / language).glob("*.toml"))
    return {one.stem: tomllib.loads(one.read_text("utf-8")) for one in files}


def places_of(text: str) -> Counter[tuple[str, str]]:
    """Places of a text with their formats; the nouns that a number brings are of the language."""
    return Counter(
        (name, "" if "|" in (form or "") else form or "")
        for _, name, form, _ in string.Formatter().parse(text)
        if name
    )


@pytest.mark.parametrize("language", OTHERS)
def test_files_and_keys_are_the_same(language: str) -> None:
    own = texts_of(language)
    assert own.keys() == TEXTS.keys()
    for part, texts in TEXTS.items():
        assert own[part].keys() == texts.keys(), part


@pytest.mark.parametrize("language", OTHERS)
def test_places_and_tags_are_the_same(language: str) -> None:
    own = texts_of(language)
    for part, texts in TEXTS.items():
        for key, text in texts.items():
            said = own[part][key]
            assert set(places_of(said)) == set(places_of(text)), f"{part}.{key}"
            assert Counter(TAG.findall(said)) == Counter(TAG.findall(text)), f"{part}.{key}"


@pytest.mark.parametrize("language", OTHERS)
def test_no_text_is_left_in_english(language: str) -> None:
    own = texts_of(language)
    left = {
        f"{part}.{key}"
        for part, texts in TEXTS.items()
        for key, text in texts.items()
        if own[part][key] == text and WORD.search(PLACE_OR_TAG.sub("", text))
    }
    assert left - ALIKE[language] == set()


@pytest.mark.parametrize("language", OTHERS)
def test_told_sentences_keep_their_places(language: str) -> None:
    for english, said in told_pairs(language).items():
        assert set(places_of(said)) == set(places_of(english)), english


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("of_what", ["muscles", "exercises"])
def test_every_name_of_the_reference_has_one_that_no_other_has(language: str, of_what: str) -> None:
    reference = pl.read_csv(LANGUAGES.parents[1] / "pipeline" / "reference" / f"{of_what}.csv")
    with words.written(PageStyle(language)):
        own = names(of_what)
    assert sorted(own) == sorted(reference["name"])
    times = Counter(name.casefold() for name in own.values())
    assert [name for name, n in times.items() if n > 1] == []


def test_names_of_exercises_stand_as_nouns_and_are_short() -> None:
    with words.written(PageStyle("de")):
        own = names("exercises").values()
    assert [name for name in own if not name[:1].isupper() or "," in name or len(name) > 33] == []


@pytest.mark.parametrize("language", OTHERS)
def test_every_word_of_the_dictionary_is_told(language: str) -> None:
    with words.written(PageStyle(language)):
        for column in columns_of("finding"):
            if column.name == "support":
                assert [one for one in column.values if told_plain(one) == one] == []


def test_sentences_are_told_with_figures_dates_and_names_of_the_language() -> None:
    said = (
        "Calves rose: +1,234.5 % a year (−0.4 to +2.0) from 6 Nov 2023 to 15 Nov 2026, "
        "153 trained weeks. Not separated from dieting."
    )
    with words.written(PageStyle("de")):
        assert told(said) == (
            "Waden: gestiegen, +1.234,5 % im Jahr (−0,4 bis +2,0) vom 6.\xa0Nov.\xa02023 bis "
            "15.\xa0Nov.\xa02026, 153 Trainingswochen. Nicht von einer Diät zu trennen."
        )
        reason = told("31 deloads, 8 needed for firm; holds under: fake dates, each year left out")
        assert "31 Deloads" in reason
        assert " for " not in reason
    assert told(said) == said


def test_lifts_are_told_by_the_names_of_the_language_and_own_lifts_by_their_own() -> None:
    end = "rested 3 times while leg press was trained, 12 weeks on average: it came back ahead of "
    rested = f"Romanian deadlift (flat) {end}the other's course, +1.0 % (+0.2 to +1.8)."
    with words.written(PageStyle("de")):
        assert str(told(rested)).startswith(
            "Rumänisches Kreuzheben (flach) ruhte 3-mal, während Beinpresse trainiert wurde"
        )
        assert told("3 of 5 signals stand. The record adds nothing to the published average.") == (
            "3 von 5 Signalen bestehen. "
            "Die Aufzeichnung fügt dem veröffentlichten Durchschnitt nichts hinzu."
        )
        assert told("pull-up and dip left out") == "Klimmzug und Dip weggelassen"
        own = told(
            "Zercher carry rose: +1.0 % a year (+0.2 to +1.8) from 6 Nov 2023 to 5 Nov 2026, "
            "90 trained weeks."
        )
        assert str(own).startswith("Zercher carry: gestiegen, +1,0 % im Jahr")


def test_what_no_catalogue_has_stays_english_and_says_so() -> None:
    with words.written(PageStyle("de")):
        assert told("squirrels <3 by 1.5") == '<span lang="en">squirrels &lt;3 by 1,5</span>'
        assert told_plain("squirrels by 1.5") == "squirrels by 1,5"
        assert told(None) == ""


@pytest.mark.parametrize(
    ("style", "says"),
    [
        (PageStyle(), ("1,234.5", "3 Mar 2025")),
        (PageStyle("de"), ("1.234,5", "3.\xa0März\xa02025")),
        (PageStyle(decimal=",", date_format="month_day"), ("1.234,5", "Mar 3, 2025")),
        (PageStyle("de", decimal=".", date_format="iso"), ("1,234.5", "2025-03-03")),
    ],
)
def test_numbers_and_dates_follow_the_style(style: PageStyle, says: tuple[str, str]) -> None:
    with words.written(style):
        assert (numbers.amount(1234.5), numbers.say_date(date(2025, 3, 3))) == says
        assert numbers.signed(-0.04) == numbers.amount(0)


def test_figures_inside_texts_follow_the_decimal_sign() -> None:
    assert "0.5" in words.plain("record.caption")
    with words.written(PageStyle(decimal=",")):
        assert "0,5" in words.plain("record.caption")
    with words.written(PageStyle("de", decimal=".")):
        assert "0.5" in words.plain("record.caption")


def test_small_numbers_take_the_gender_of_their_noun() -> None:
    with words.written(PageStyle("de")):
        assert [numbers.in_words(n, "week") for n in (0, 1, 2)] == [
            "keine Wochen",
            "eine Woche",
            "zwei Wochen",
        ]
        assert numbers.capital(numbers.in_words(1, "year")) == "Ein Jahr"


def test_the_name_of_a_paper_keeps_its_point() -> None:
    with words.written(PageStyle(decimal=",")):
        assert words.with_signs("0.5 (10.1007/s40279)") == "0,5 (10.1007/s40279)"
