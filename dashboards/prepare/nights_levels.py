"""Frames of the signals over the years: weekly means, slow means, changes of device."""

from datetime import date

import polars as pl

from dashboards import words
from dashboards.charts.signal_levels import SignalLevelFrames
from dashboards.numbers import amount
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.nights import SIGNALS
from dashboards.prepare.record import in_unit
from pipeline.core.page_book import PageBook

SLOW_WEEKS, LEAST_WEEKS = 9, 3
# The guide values leave out this share at either end, so that a single slip sets no scale.
EDGE = 0.02
# Names of devices closer than this share of the record would lie on each other.
NEAREST_NAMES = 0.06
# Changes within so many weeks of each other are one.
SAME_CHANGE = 2


def say_reading(signal: str, value: float) -> str:
    """A reading with its unit, as people say it: 7.2 h, 54 bpm, 8,100."""
    if signal == "sleep_min":
        return words.plain("nights.reading_sleep_min", value=amount(value / 60))
    if signal == "body_weight_kg":
        unit = words.style().body_weight or "kg"
        return words.plain("nights.reading_mass", value=amount(in_unit(value, unit)), unit=unit)
    return words.plain(f"nights.reading_{signal}", value=amount(value, 0))


def level_frames(
    book: PageBook, lifter_id: str, readings: pl.DataFrame, first: date, weeks: int, every: int
) -> SignalLevelFrames:
    """One row a signal that was read, in the order of the page; readings within the weeks only."""
    shown = [one for one in SIGNALS if (readings["signal"] == one).any()]
    parts, rows = [], []
    for place, signal in enumerate(shown):
        weekly = _weekly(readings.filter(pl.col("signal") == signal), first, weeks)
        low, high = _guides(weekly)
        unit = 1000.0 / (high - low)
        parts.append(
            weekly.select(
                pl.lit(place, dtype=pl.Int64).alias("r"),
                "w",
                _scaled("v", low, unit),
                _scaled("m", low, unit),
                s=pl.col("s") + 10_000 * place,
            )
        )
        rows.append(
            {
                "r": place,
                "name": words.plain(f"nights.name_{signal}"),
                "now": say_reading(signal, _latest(weekly)),
                "high": say_reading(signal, high),
                "low": say_reading(signal, low),
            }
        )
    devices = _devices(book, lifter_id, readings, shown, first, weeks)
    return SignalLevelFrames(
        pl.concat(parts),
        pl.DataFrame(rows, infer_schema_length=None),
        devices,
        year_marks(first, weeks, every),
    )


def _scaled(field: str, low: float, unit: float) -> pl.Expr:
    """Thousandths of the signal's own range, a little beyond it at most."""
    return ((pl.col(field) - low) * unit).clip(-80, 1080).round().cast(pl.Int64)


def _weekly(own: pl.DataFrame, first: date, weeks: int) -> pl.DataFrame:
    """Weekly means of one signal: w, v, m (mean of the weeks around), s (segment)."""
    weekly = (
        own.with_columns(w=(pl.col("date") - first).dt.total_days() // 7)
        .filter(pl.col("w").is_between(0, weeks - 1))
        .group_by("w")
        .agg(v=pl.col("value").mean())
        .sort("w")
    )
    full = pl.DataFrame({"w": range(weeks)}, schema={"w": pl.Int64}).join(
        weekly, on="w", how="left"
    )
    slow = pl.col("v").rolling_mean(SLOW_WEEKS, min_samples=LEAST_WEEKS, center=True)
    return (
        full.with_columns(m=slow)
        .filter(pl.col("v").is_not_null())
        .with_columns(s=(pl.col("w").diff() > 2).fill_null(True).cum_sum().cast(pl.Int64))
    )


def _latest(weekly: pl.DataFrame) -> float:
    """The last mean of the weeks around; where too few have one, the last week's own."""
    means = weekly["m"].drop_nulls()
    return float((means if means.len() else weekly["v"])[-1])


def _guides(weekly: pl.DataFrame) -> tuple[float, float]:
    """Two values that hold nearly all weekly means between them."""
    low, high = (float(weekly["v"].quantile(at) or 0.0) for at in (EDGE, 1.0 - EDGE))
    return (low, high) if high > low else (low - 1.0, high + 1.0)


def _devices(
    book: PageBook,
    lifter_id: str,
    readings: pl.DataFrame,
    shown: list[str],
    first: date,
    weeks: int,
) -> pl.DataFrame:
    """Changes told in the journal (through all rows) and those that the readings name."""
    told = book.tables["tidy_event"].filter(
        (pl.col("lifter_id") == lifter_id) & (pl.col("kind") == "device_change")
    )
    plain = words.plain("nights.device_change")
    found = [(-1, start, note or plain) for start, note in told.select("start", "note").rows()]
    for place, signal in enumerate(shown):
        own = readings.filter((pl.col("signal") == signal) & pl.col("device_id").is_not_null())
        changes = own.filter(pl.col("device_id") != pl.col("device_id").shift())
        found += [(place, day, name) for day, name in changes.select("date", "device_id").rows()]
    rows = [(r, (day - first).days / 7, label) for r, day, label in found]
    named = _name_once([row for row in rows if 0 <= row[1] <= weeks])
    kept = _thin(named, weeks)
    schema = {"r": pl.Int64, "w": pl.Float64, "label": pl.String}
    return pl.DataFrame(kept, schema=schema, orient="row")


def _name_once(rows: list[tuple[int, float, str]]) -> list[tuple[int, float, str]]:
    """One device that several signals came from is named in the first of their rows, and there
    in place of what the journal tells of the same week."""
    kept: list[tuple[int, float, str]] = []
    for place, week, label in sorted(rows, key=lambda row: (row[0] < 0, row)):
        near = [one for one in kept if abs(one[1] - week) <= SAME_CHANGE]
        is_said = any(one[2] == label for one in near) or (place < 0 and bool(near))
        kept.append((place, week, "" if is_said else label))
    return kept


def _thin(rows: list[tuple[int, float, str]], weeks: int) -> list[tuple[int, float, str]]:
    """Every line is kept; a name that would lie on the one before it in its row is not."""
    kept: list[tuple[int, float, str]] = []
    last: dict[int, float] = {}
    for place, week, label in sorted(rows):
        is_free = bool(label) and week - last.get(place, -weeks) > NEAREST_NAMES * weeks
        if is_free:
            last[place] = week
        kept.append((place, round(week, 2), label if is_free else ""))
    return kept
