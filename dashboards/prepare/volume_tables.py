"""Tables of the page Volume and progress."""

from functools import partial

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Table, Text
from dashboards.numbers import amount, count, interval, range_words, say_date, signed
from dashboards.prepare.counts import mean_by_year
from dashboards.prepare.heads import heads_of
from dashboards.prepare.volume import (
    MuscleAnswer,
    Row,
    none_better,
    say_age,
    say_better,
    say_held,
    say_range,
    say_reading,
    say_reason,
    say_recent,
    summary_order,
)
from dashboards.told import told
from pipeline.core.page_book import PageBook

CURVE_STEP = 5


heads = partial(heads_of, "volume")


def block_table(blocks: pl.DataFrame) -> Table:
    """Every dot of the first picture, by muscle and date."""
    used = {True: words.plain("volume.used"), False: words.plain("volume.unused")}
    rows = tuple(
        (
            row["name"],
            say_date(row["from_date"]),
            say_date(row["to_date"]),
            amount(row["x"]),
            signed(row["y"], 2),
            amount(row["age"]),
            used[row["is_used"]],
        )
        for row in blocks.iter_rows(named=True)
    )
    numbers = ("sets", "change", "age_mid")
    keys = ("muscle", "from", "to", "sets", "change", "age_mid", "used")
    return Table(heads(*keys, numbers=numbers), rows)


def age_table(answers: list[MuscleAnswer]) -> Table:
    """Every finding behind the ranges: best sets, range, edges and the published average."""
    rows = [
        (
            one.name,
            say_age(row),
            count(row["estimate"]),
            range_words(row["low"], row["high"]),
            say_range(row),
            range_words(row["edge_low"], row["edge_high"]),
            told(row["support"]),
            told(row["support_why"]),
            *_published(row),
        )
        for one in answers
        for row in one.bands
    ]
    keys = ("muscle", "age", "best", "interval", "range", "edges", "support", "why")
    columns = heads(*keys, "prior", "prior_interval", numbers=("best", "prior"))
    return Table(columns, tuple(rows))


def _published(row: Row) -> tuple[str, str]:
    """The published average and its interval, empty where none is published."""
    if row["prior_estimate"] is None:
        return "", ""
    return count(row["prior_estimate"]), range_words(row["prior_low"], row["prior_high"])


def summary_table(answers: list[MuscleAnswer]) -> Table:
    """The summary in words, in its order."""
    all_same = none_better(answers)
    rows = tuple(
        (one.name, *_now(one), say_recent(one), *_support(one, all_same))
        for one in summary_order(answers)
    )
    keys = ("muscle", "age", "best", "interval", "range", "edges", "recent", "support")
    columns = heads(*keys, "blocks", "reads", numbers=("best", "recent", "blocks"))
    return Table(columns, rows, note=say_better(answers))


def _now(answer: MuscleAnswer) -> tuple[Text, ...]:
    row = answer.now
    if row is None:
        return ("",) * 5
    return (
        say_age(row),
        count(row["estimate"]),
        range_words(row["low"], row["high"]),
        say_range(row),
        range_words(row["edge_low"], row["edge_high"]),
    )


def _support(answer: MuscleAnswer, all_same: bool) -> tuple[Text, ...]:
    row = answer.now
    if row is None:
        return words.plain("frame.not_enough"), "", say_reason(answer)
    return told(row["support"]), count(row["n"]), say_reading(answer, all_same)


def sets_table(book: PageBook, lifter_id: str, answers: list[MuscleAnswer]) -> Table:
    """Weekly sets now and in each past year: counts, newest first."""
    means = mean_by_year(book, lifter_id)
    years = means.columns[1:][::-1]
    done = {row["muscle_id"]: row for row in means.iter_rows(named=True)}
    rows = tuple(
        (
            one.name,
            "" if one.recent is None else amount(one.recent),
            *(_sets(done.get(one.muscle_id, {}).get(year)) for year in years),
        )
        for one in answers
    )
    columns = (
        *heads("muscle", "recent", numbers=("recent",)),
        *(Column(year, "number") for year in years),
    )
    title, note = words.plain("volume.sets_title"), words.say("volume.sets_note")
    return Table(columns, rows, title, note)


def _sets(value: float | None) -> str:
    return "" if value is None else amount(value)


def held_table(answers: list[MuscleAnswer]) -> Table:
    """The fewest weekly sets that held, muscle by muscle; a refusal gives its reason.

    What the findings of all muscles end with is said once, in the caption.
    """
    held = [(one.name, one.held) for one in answers if one.held]
    shared = shared_end([row["sentence"] for _, row in held if row["estimate"] is not None])
    rows = tuple(_held_row(name, row, shared) for name, row in held)
    columns = heads("muscle", "held", "age", "support", "held_says")
    said = words.say("volume.held_shared", said=told(shared)) if shared else ""
    note = words.say("volume.held_note", shared=said)
    return Table(columns, rows, words.plain("volume.held_title"), note)


def shared_end(sentences: list[str]) -> str:
    """The last sentence of all texts if it is one and the same; "" for fewer than two texts."""
    ends = {text.rsplit(". ", 1)[1] if ". " in text else "" for text in sentences}
    return ends.pop() if len(sentences) > 1 and len(ends) == 1 else ""


def _held_row(name: str, row: Row, shared: str) -> tuple[Text, ...]:
    if row["estimate"] is None:
        return name, "", "", told(row["support"]), told(row["support_why"])
    # The finding's sentence names muscle and sets first; here they stand in the row already.
    seen = row["sentence"].split(": ", 1)[-1].removesuffix(shared).rstrip()
    return name, say_held(row), say_age(row), told(row["support"]), told(seen)


def curve_table(curves: pl.DataFrame, answers: list[MuscleAnswer]) -> Table:
    """The curve of each muscle at every fifth weekly set that was trained."""
    places = list(range(0, 36, CURVE_STEP))
    known = {
        (row["muscle"], int(row["x"])): row
        for row in curves.filter(pl.col("x").is_between("a", "b")).iter_rows(named=True)
    }
    rows = tuple(
        (one.name, *(_expected(known.get((one.muscle_id, place))) for place in places))
        for one in answers
        if one.bands
    )
    columns = (
        *heads("muscle"),
        *(Column(words.plain("volume.col_at", sets=place), "number") for place in places),
    )
    title, note = words.plain("volume.curve_title"), words.say("volume.curve_note")
    return Table(columns, rows, title, note)


def _expected(row: Row | None) -> str:
    if row is None:
        return ""
    return f"{signed(row['y'], 2)} {interval(row['lo'], row['hi'])}"
