"""The answer of the page Lifts: what rose, what fell, what was to be expected."""

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Text
from dashboards.numbers import amount, capital, count, figure, in_words, number_word, plural, signed
from dashboards.prepare.published import find_fact
from dashboards.prepare.slopes import (
    EITHER,
    FALLING,
    REFUSED,
    RISING,
    STILL,
    has_zero,
    say_limit,
    say_rate,
    say_refusal,
    say_span,
    stands_apart,
)
from dashboards.told import told_plain
from pipeline.core.page_book import LifterInfo, PageBook

# Published facts beside the slopes: after the first year of training, and within it.
LATER_FACT, FIRST_YEAR_FACT = "gain_after_year_1", "competition_gain_year_1"
# More falling lifts than this are summed up instead of named.
MOST_NAMED = 3


def expected_gain(book: PageBook, age: float) -> float | None:
    """The published yearly gain (%) that holds from the second year of training on."""
    fact = find_fact(book, LATER_FACT) if age >= 1 else None
    return None if fact is None else float(fact["value"])  # type: ignore[arg-type]


def answer_lifts(
    book: PageBook, lifter: LifterInfo, rows: pl.DataFrame, weeks: pl.DataFrame
) -> Answer:
    """Sentence and second sentence; every number is a finding's, or counts findings."""
    counted = rows.filter((pl.col("verdict") != REFUSED) & ~pl.col("is_past"))
    if counted.is_empty():
        return _refuse(book, lifter, rows, weeks)
    sentence = _rose(counted) + _fell(counted) + _still(book, counted) + _either(counted)
    return Answer(sentence, _second(book, rows, weeks))


def _rose(counted: pl.DataFrame) -> Markup:
    rising = counted.filter(pl.col("verdict") == RISING).sort("est", descending=True)
    values = {"n": count(rising.height), "of": count(counted.height), "span": _span(counted)}
    is_alone = counted.height == 1
    if rising.is_empty():
        return words.say("lifts.rose_none_one" if is_alone else "lifts.rose_none", **values)
    key = "lifts.rose_all" if rising.height == counted.height else "lifts.rose"
    return words.say("lifts.rose_all_one" if is_alone else key, by=_by(rising), **values)


def _by(rising: pl.DataFrame) -> Text:
    """How much: one lift's rate, or the span of all, and the first where it stands apart."""
    if rising.height == 1:
        row = rising.row(0, named=True)
        return words.say("lifts.by_one", name=row["word"], rate=say_rate(row))
    ends = {"low": amount(rising["est"][-1]), "high": amount(rising["est"][0])}
    first = stands_apart(rising)
    if first is None:
        return words.say("lifts.by_range", **ends)
    return words.say("lifts.by_first", name=first["word"], rate=say_rate(first), **ends)


def _fell(counted: pl.DataFrame) -> Markup:
    falling = counted.filter(pl.col("verdict") == FALLING).sort("est")
    said = [(row["word"], say_rate(row)) for row in falling.iter_rows(named=True)]
    if not said:
        return Markup("")
    if len(said) == 1:
        return words.say("lifts.fell_one", name=said[0][0], rate=said[0][1])
    number = capital(number_word(len(said)))
    if len(said) <= MOST_NAMED:
        names = ", ".join(words.plain("lifts.fell_item", name=n, rate=r) for n, r in said)
        return words.say("lifts.fell_some", n=number, names=names)
    low, high = (signed(falling["est"][place]) for place in (-1, 0))
    return words.say("lifts.fell_many", n=number, low=low, high=high)


def _still(book: PageBook, counted: pl.DataFrame) -> Markup:
    inside = counted.filter(pl.col("verdict") == STILL)
    still, limit = has_zero(inside).height, say_limit(book)
    told = Markup("")
    for key, n in (("still", still), ("slow", inside.height - still)):
        if n:
            ending = "one" if n == 1 else "some"
            told += words.say(f"lifts.{key}_{ending}", n=capital(number_word(n)), limit=limit)
    return told


def _either(counted: pl.DataFrame) -> Markup:
    either = counted.filter(pl.col("verdict") == EITHER).height
    key = "lifts.either_one" if either == 1 else "lifts.either_some"
    return words.say(key, n=number_word(either)) if either else Markup("")


def _span(counted: pl.DataFrame) -> str:
    longest = counted.sort((pl.col("to_date") - pl.col("from_date")), descending=True)
    span = say_span(longest["from_date"][0], longest["to_date"][0])
    return words.plain("lifts.last_years", span=span)


def _second(book: PageBook, rows: pl.DataFrame, weeks: pl.DataFrame) -> Text:
    parts = [_published(book, weeks)]
    refused = rows.filter(pl.col("verdict") == REFUSED).height
    past = rows.filter((pl.col("verdict") != REFUSED) & pl.col("is_past")).height
    for number, key in ((past, "past"), (refused, "refused")):
        if number == 1:
            parts.append(words.say(f"lifts.second_{key}_one"))
        elif number:
            word = capital(number_word(number))
            parts.append(words.say(f"lifts.second_{key}", n=word))
    return Markup(" ").join(part for part in parts if part)


def _published(book: PageBook, weeks: pl.DataFrame) -> Text:
    """What was published about the gain to be expected at the present training age."""
    age = float(weeks["training_age_years"][-1])
    fact = find_fact(book, FIRST_YEAR_FACT if age < 1 else LATER_FACT)
    if fact is None:
        return ""
    values = {"source": fact["source"], "status": told_plain(str(fact["status"]))}
    if age < 1:
        ends = {key: figure(fact[key]) for key in ("value", "low", "high")}
        return words.say("lifts.second_published_first", **ends, **values)
    return words.say(
        "lifts.second_published", age=amount(age), value=figure(fact["value"]), **values
    )


def _refuse(book: PageBook, lifter: LifterInfo, rows: pl.DataFrame, weeks: pl.DataFrame) -> Answer:
    """No lift has an answer: which comes nearest, and what there is."""
    refused = rows.filter(pl.col("verdict") == REFUSED).sort("n", "name", descending=[True, False])
    nearest: Text = ""
    if refused.height:
        row = refused.row(0, named=True)
        nearest = words.say("lifts.too_few_nearest", name=row["word"], reason=say_refusal(row))
    done = (
        book.tables["mart_week_lift"]
        .filter((pl.col("lifter_id") == lifter.lifter_id) & (pl.col("working_sets") > 0))[
            "exercise_id"
        ]
        .n_unique()
    )
    second = words.say(
        "lifts.too_few_second",
        lifts=capital(in_words(done, "lift")),
        weeks=plural(weeks.height, "week"),
    )
    published = _published(book, weeks)
    return Answer(
        words.say("lifts.too_few", nearest=nearest),
        Markup(" ").join(part for part in (second, published) if part),
    )
