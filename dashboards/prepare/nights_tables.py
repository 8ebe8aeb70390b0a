"""Tables of the page Nights and sessions."""

from functools import partial

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Table, Text
from dashboards.numbers import amount, count, say_date, signed
from dashboards.prepare.heads import heads_of
from dashboards.prepare.nights import (
    SIGNALS,
    Row,
    SignalRow,
    count_by_year,
    count_readings,
    without_reserve,
)
from dashboards.prepare.nights_levels import say_reading
from dashboards.told import told
from pipeline.core.page_book import PageBook

heads = partial(heads_of, "nights")


def say_interval(row: Row) -> str:
    """An interval with two decimals: effects of one unit are small."""
    return words.plain("numbers.interval", low=signed(row["low"], 2), high=signed(row["high"], 2))


def signal_table(book: PageBook, lifter_id: str, signals: list[SignalRow]) -> Table:
    """Every test with its numbers, and what sets without recorded reserve showed beside it."""
    beside = without_reserve(book, lifter_id)
    rows = tuple(
        (
            one.name,
            one.when,
            *_numbers(one),
            _beside(beside.get((one.signal, one.nights))),
            one.support,
            told(one.finding["support_why"]),
        )
        for one in signals
    )
    keys = ("signal", "when", "effect", "interval", "unit", "sessions", "beside", "support", "why")
    return Table(heads(*keys, numbers=("effect", "sessions")), rows)


def _numbers(one: SignalRow) -> tuple[Text, Text, Text, Text]:
    finding = one.finding
    if finding["estimate"] is None:
        return "", "", one.unit, count(finding["n"])
    number = signed(finding["estimate"], 2)
    return number, say_interval(finding), one.unit, count(finding["n"])


def _beside(row: Row | None) -> str:
    if row is None:
        return ""
    return f"{signed(row['effect_pct'], 2)} {say_interval(row)}"


def level_table(readings: pl.DataFrame) -> Table:
    """What was read of each signal."""
    rows = tuple(
        (
            words.plain(f"nights.name_{row['signal']}"),
            count(row["days"]),
            say_date(row["first"]),
            say_date(row["last"]),
            count(row["devices"]) if row["devices"] else words.plain("nights.not_said"),
            say_reading(row["signal"], row["mean"]),
        )
        for row in count_readings(readings).iter_rows(named=True)
    )
    keys = ("signal", "days", "first", "last", "devices", "mean")
    return Table(heads(*keys, numbers=("days", "devices", "mean")), rows)


def by_year_table(book: PageBook, lifter_id: str, readings: pl.DataFrame) -> Table:
    """Sessions, those with recorded reserve, and days with each signal, newest year first."""
    years = count_by_year(book, lifter_id, readings)
    shown = [one for one in SIGNALS if one in years.columns]
    rows = tuple(
        (str(row["year"]), *(count(row[key]) for key in ("sessions", "recorded", *shown)))
        for row in years.iter_rows(named=True)
    )
    columns = heads("year", "year_sessions", "recorded", numbers=("year_sessions", "recorded"))
    columns += tuple(Column(words.plain(f"nights.name_{one}"), "number") for one in shown)
    title, note = words.plain("nights.by_year_title"), words.say("nights.by_year_note")
    return Table(columns, rows, title, note, words.plain("nights.by_year_none"), is_counts=True)


def say_effect(one: SignalRow) -> dict[str, str]:
    """The numbers of one test for a sentence."""
    finding = one.finding
    return {
        "size": amount(abs(finding["estimate"]), 2),
        "interval": say_interval(finding),
        "n": count(finding["n"]),
    }
