"""The order of numbers in shorthand, drafted from invented cells."""

import random

import pytest

from pipeline.sources.draft_notation import (
    NotationFinding,
    decimals_of_shorthand,
    find_notation,
)
from pipeline.sources.draft_records import Notebook
from tests.unit.drafting import days, draft, small_readers, write

LOADS = (40, 42.5, 45, 50, 52.5, 60, 62.5)


def written(style: str, n: int = 40) -> list[tuple[str, str]]:
    """Cells of one lift; ``style`` has places for load l, repetitions r, s, t and sets n."""
    draw = random.Random(style)
    cells = []
    for _ in range(n):
        reps = draw.randint(6, 12)
        load, sets = f"{draw.choice(LOADS):g}", draw.randint(2, 5)
        cells.append(("bench_press", style.format(l=load, r=reps, s=reps - 1, t=reps - 2, n=sets)))
    return cells


def drafted(cells: list[tuple[str, str]]) -> tuple[NotationFinding, Notebook]:
    book = Notebook()
    signs = decimals_of_shorthand([text for _, text in cells], ",")
    return find_notation(cells, signs, small_readers(), book), book


@pytest.mark.parametrize(
    ("style", "order"),
    [
        ("{l}x{r}x{n}", "load x reps x sets"),
        ("{l}x{n}x{r}", "load x sets x reps"),
        ("{n}x{r}x{l}", "sets x reps x load"),
        ("{n}x{r}@{l}", "sets x reps @ load"),
        ("{n}x{r} {l}", "sets x reps load"),
        ("{n} x {l}kg x {r}", "sets x load x reps"),
        ("{l} {r}", "load reps"),
        ("{r} {l}", "reps load"),
        ("{l} {r} {s} {t}", "load reps"),
        ("{l} {r} {n}", "load reps sets"),
        ("{l}/{r}/{n}", "load / reps / sets"),
        ("{n}/{r}/{l}", "sets / reps / load"),
        ("{r}x{l}", "reps x load"),
        ("{r}, {s}, {t}", "reps"),
    ],
)
def test_an_order_is_found_from_the_numbers(style, order):
    found, book = drafted(written(style))
    assert found.order.split("; ")[0] == order
    assert book.questions == []


@pytest.mark.parametrize(
    ("style", "likelier", "other"),
    [
        ("2 x {l} x {r}", "sets x load x reps", "hands x load x reps"),
        ("2x{l}kg x {r}", "sets x load x reps", "hands x load x reps"),
    ],
)
def test_an_order_that_stays_open_is_asked_with_its_evidence(style, likelier, other):
    found, book = drafted(written(style))
    (question,) = book.questions
    assert question.key == "notation.order"
    assert [choice.split("; ")[0] for choice in question.choices[:2]] == [likelier, other]
    assert found.order == question.choices[0]
    assert "entries of three numbers" in question.why


def test_a_file_of_many_notations_gets_all_of_them():
    texts = ["70x6x4", "72.5x6x4", "65x8x3", "80x5x5", "4x6@90", "90 x 9, 8, 6", "bw x 11"]
    texts += ["60 8", "62.5 8", "65 6", "60 8, 65 6", "plate a side x 8", "3 x 8-10"]
    found, book = drafted([("row", text) for text in texts])
    forms = found.order.split("; ")
    assert {"load x reps x sets", "load reps"} <= set(forms)
    assert not any("Not understood" in sentence for sentence in book.evidence)
    assert book.questions == []


def test_the_numbers_are_told_by_their_place():
    _, book = drafted([("row", text) for text in ("70x6x4", "72.5x6x4", "65x8x3", "80x5x5")])
    told = (
        "Of 4 entries of three numbers the first is 65 to 80 (a multiple of 2.5 in 4); "
        "the second is 5 to 8; the third is 3 to 5."
    )
    assert told in book.evidence


def test_a_decimal_comma_is_no_list():
    found, _ = drafted([("row", text) for text in ("72,5x6x4", "70x6x4", "67,5x8x3")])
    assert found.decimal == ","
    assert found.loads["72,5x6x4"][0] == (72.5, None)


def _sets_table(cells) -> str:
    rows = [f"{day},{lift},{text}" for i, day in enumerate(days(12)) for lift, text in cells(i)]
    return "Date,Lift,Sets\n" + "\n".join(rows)


def test_one_load_with_two_numbers_is_read_as_its_file_counts(tmp_path):
    """``70kg*8*3`` once among ``3x8@72.5``: three sets of eight, and nothing to ask."""
    text = _sets_table(lambda i: [("Back squat", f"3x8@{70 + 2.5 * i}" if i else "70kg*8*3")])
    drafted, _ = draft(write(tmp_path, text), small_readers(), {"units.load": "kg"})
    assert drafted.questions == ()
    assert drafted.first_sets.select("load_kg", "reps").rows()[:3] == [(70, 8)] * 3


def test_one_load_with_two_numbers_that_could_be_either_is_asked(tmp_path):
    text = _sets_table(lambda i: [("Back squat", f"{70 + 2.5 * i}kg*{5 - i % 2}*{4 + i % 2}")])
    drafted, _ = draft(write(tmp_path, text), small_readers())
    (question,) = drafted.questions
    assert question.key == "notation.order"
    answer = {"notation.order": "load x sets x reps; load x reps"}
    answered, _ = draft(write(tmp_path, text), small_readers(), answer)
    assert answered.questions == ()
    assert answered.first_sets["reps"].to_list()[:5] == [4] * 5


def test_repetitions_or_a_load_on_each_side_is_asked(tmp_path):
    cells = [("Leg press", "20x10 e/s")]
    text = _sets_table(lambda i: [*cells, ("Back squat", f"3x8@{60 + 2.5 * i}")])
    drafted, _ = draft(write(tmp_path, text), small_readers())
    assert "reps x load" in drafted.questions[0].choices[1]
    assert drafted.questions[0].text == "How is '20x10 e/s' meant?"
    assert drafted.first_sets.select("load_kg", "reps", "side").rows()[0] == (20, 10, "both")
