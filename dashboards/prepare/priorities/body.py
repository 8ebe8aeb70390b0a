"""Girths and own ratings through the phases, and proposals of phases that the journal misses."""

from datetime import date, timedelta

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import amount, join_names, say_date, signed
from dashboards.prepare.names import muscle_names
from dashboards.prepare.priorities.find import (
    Phase,
    Row,
    heads,
    own,
    questions_of,
    say_muscles,
)
from dashboards.prepare.volume import say_age, say_held
from pipeline.core.page_book import PageBook

# A reading speaks of an end of a phase when it lies at most so many days from it.
NEAR_DAYS = 28
# Muscles named as held on least.
NAMED = 3
GIRTH, RATING = "girth_", "rating_"


def proposal_table(book: PageBook, lifter_id: str) -> Table | None:
    """Stretches that look like a phase, each with the command that accepts it; None without any."""
    proposals = own(book, lifter_id, "tidy_proposal").sort("start", descending=True)
    if proposals.is_empty():
        return None
    names = muscle_names(book)
    rows = tuple(
        (
            say_muscles(row["subject"], names),
            say_date(row["start"]),
            say_date(row["end"]),
            words.plain("priorities.times", value=amount(row["factor"])),
            words.say("priorities.command", command=row["command"]),
        )
        for row in proposals.iter_rows(named=True)
    )
    columns = heads("asked", "start", "to", "factor", "accept", numbers=("factor",))
    return Table(
        columns,
        rows,
        words.plain("priorities.proposals_title"),
        words.say("priorities.proposals_note"),
    )


def body_table(book: PageBook, lifter_id: str, phases: list[Phase]) -> Table | None:
    """Each measure near both ends of each phase; None where no phase has such readings."""
    readings = own(book, lifter_id, "tidy_signal").filter(
        pl.col("signal").str.starts_with(GIRTH) | pl.col("signal").str.starts_with(RATING)
    )
    names = muscle_names(book)
    rows = []
    for one in phases:
        for signal in readings["signal"].unique().sort():
            mine = readings.filter(pl.col("signal") == signal).sort("date")
            before, after = _near(mine, one.start), _near(mine, one.end)
            if before is None or after is None or before[0] >= after[0]:
                continue
            rows.append(
                (
                    words.plain("priorities.phase_of", name=one.name, year=one.start.year),
                    say_measure(signal, names),
                    *(_reading(signal, *end) for end in (before, after)),
                    _change(signal, after[1] - before[1]),
                )
            )
    if not rows:
        return None
    columns = heads("phase", "measure", "at_start", "at_end", "moved", numbers=("moved",))
    return Table(columns, tuple(rows))


def _change(signal: str, value: float) -> str:
    unit = words.plain("priorities.unit_cm" if _is_girth(signal) else "priorities.unit_points")
    return words.plain("priorities.reading_change", value=signed(value), unit=unit)


def _is_girth(signal: str) -> bool:
    return signal.startswith(GIRTH)


def say_measure(signal: str, names: dict[str, str]) -> str:
    """What a girth or rating is called."""
    if _is_girth(signal):
        site = signal.removeprefix(GIRTH).removesuffix("_cm").replace("_", " ")
        return words.plain("priorities.girth", site=site)
    muscle = signal.removeprefix(RATING)
    return words.plain("priorities.rating", muscle=names.get(muscle, muscle.replace("_", " ")))


def _near(readings: pl.DataFrame, day: date) -> tuple[date, float] | None:
    """The reading nearest to a day: its date and value; None where none is near."""
    reach = timedelta(days=NEAR_DAYS)
    near = readings.filter(pl.col("date").is_between(day - reach, day + reach))
    if near.is_empty():
        return None
    row = near.sort((pl.col("date") - day).abs(), "date").row(0, named=True)
    return row["date"], row["value"]


def _reading(signal: str, day: date, value: float) -> str:
    decimals = 1 if _is_girth(signal) or value % 1 else 0
    return words.plain("priorities.reading", value=amount(value, decimals), date=say_date(day))


def held_rows(book: PageBook, lifter_id: str) -> list[tuple[str, Row]]:
    """Muscles with the fewest weekly sets that held them, the lowest first."""
    names = muscle_names(book)
    found = questions_of(book, lifter_id, "hold_sets").drop_nulls(["estimate", "low", "high"])
    return [
        (names.get(row["subject"].removeprefix("muscle:"), row["subject"]), row)
        for row in found.sort("estimate", "subject").iter_rows(named=True)
    ]


def say_least(rows: list[tuple[str, Row]]) -> Text:
    """The few muscles that were held on least; all of them stand on Volume and progress."""
    said = [
        words.plain("priorities.held_at", muscle=name, sets=say_held(row), ages=say_age(row))
        for name, row in rows[:NAMED]
    ]
    page = Markup('<a href="volume.html">{}</a>').format(words.plain("frame.page_volume"))
    return words.say("priorities.held_note", least=join_names(said), page=page)
