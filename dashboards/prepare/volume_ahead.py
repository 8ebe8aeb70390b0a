"""The strength of each muscle a year ahead, beside no change."""

import re
from collections import Counter
from datetime import date

import polars as pl

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import count, interval, say_date, signed
from dashboards.prepare.heads import heads_of
from dashboards.prepare.volume import REFUSED, MuscleAnswer, Row
from dashboards.told import told, told_plain
from pipeline.core.page_book import PageBook

# The finding's own words (pipeline.findings.forecast) say whose drift it goes by.
_DRIFT = re.compile(r"from the last level and (.+)\.$")
KEYS = ("muscle", "ahead", "unchanged", "support")


def ahead_table(book: PageBook, lifter_id: str, answers: list[MuscleAnswer]) -> Table | None:
    """A row a muscle in page order, refused ones last; None where nothing was foretold."""
    by_muscle = _forecasts(book, lifter_id)
    known = [one for one in answers if one.muscle_id in by_muscle]
    told = [(one.name, by_muscle[one.muscle_id]) for one in known]
    made = [(name, row) for name, row in told if row["support"] != REFUSED]
    if not made:
        return None
    is_published = all(row["estimate"] == row["prior_estimate"] for _, row in made)
    keys = KEYS if is_published else (*KEYS[:2], "by_published", *KEYS[2:])
    rows = [_cells(name, row, is_published) for name, row in made]
    rows += [_refused(name, row, len(keys)) for name, row in told if row["support"] == REFUSED]
    coverage = count(100 * made[0][1]["coverage"])
    numbers = ("ahead", "by_published")
    columns = heads_of("volume", *keys, numbers=numbers, coverage=coverage)
    drift = _say_drift(made[0][1]["sentence"], is_published)
    note = words.say("volume.ahead_note", days=_say_days(made), drift=drift)
    return Table(columns, tuple(rows), words.plain("volume.ahead_title"), note)


def _say_drift(sentence: str, is_published: bool) -> str:
    found = _DRIFT.search(sentence)
    if found is None:
        return ""
    key = "published" if is_published else "others"
    return words.plain(f"volume.ahead_{key}", drift=told_plain(found.group(1)))


def _forecasts(book: PageBook, lifter_id: str) -> dict[str, Row]:
    found = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("question") == "forecast")
        & pl.col("subject").str.starts_with("muscle:")
    )
    return {row["subject"].split(":", 1)[1]: row for row in found.iter_rows(named=True)}


def _cells(name: str, row: Row, is_published: bool) -> tuple[Text, ...]:
    """Name, change with interval, by others' drift also the published one, no change, support."""
    place = "inside" if row["low"] <= 0.0 <= row["high"] else "outside"
    published = () if is_published else (_say(row, "prior_estimate", "prior_low", "prior_high"),)
    return (
        name,
        _say(row, "estimate", "low", "high"),
        *published,
        words.plain(f"volume.unchanged_{place}"),
        told(row["support"]),
    )


def _say(row: Row, value: str, low: str, high: str) -> str:
    return f"{signed(row[value])} {interval(row[low], row[high])}"


def _refused(name: str, row: Row, cells: int) -> tuple[Text, ...]:
    reason = words.plain("volume.refused_mark", reason=told_plain(row["support_why"]))
    return (name, *[""] * (cells - 2), reason)


def _say_days(made: list[tuple[str, Row]]) -> str:
    """The day that most forecasts are for, and the muscles that were last trained earlier."""
    days: Counter[date] = Counter(row["to_date"] for _, row in made)
    usual = min(days, key=lambda day: (-days[day], day))
    apart = [
        words.plain("volume.ahead_apart", muscle=name, day=say_date(row["to_date"]))
        for name, row in made
        if row["to_date"] != usual
    ]
    return ", ".join([say_date(usual), *apart])
