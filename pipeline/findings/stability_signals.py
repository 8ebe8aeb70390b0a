"""Do signals that stand do so with nights moved by months, or with a year left out?"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import polars as pl

from pipeline.findings.arrays import Record
from pipeline.findings.nights import read_bouts, read_daily
from pipeline.findings.say import say_share
from pipeline.findings.stability_rows import BULK, PLACEBO_SHARE, SEED, Check, Row, check_choice
from pipeline.models.signals.days import DailySignal
from pipeline.models.signals.effect import Bouts, SignalEffect, fit_fake_nights, fit_signal_effect
from pipeline.models.signals.screen import held_of

N_FAKES = 40


def check_signals(
    record: Record, readings: pl.DataFrame, rep_slopes: Mapping[str, float], rows: list[Row]
) -> Iterator[Check]:
    """Findings signal_effect of ``rows`` that name a signal.

    ``readings`` is ``mart_day_signal`` of the lifter.
    """
    asked = [row for row in rows if row["subject"].startswith("signal:")]
    if not asked:
        return
    bouts = read_bouts(record, rep_slopes, recorded=True)
    daily = read_daily(record, readings)
    for row in asked:
        name, nights = row["subject"].removeprefix("signal:").rsplit("@", 1)
        yield from _check_moved(bouts, daily, row, name, int(nights))
        yield from _check_years(record, bouts, daily, row, name, int(nights))


def _check_moved(
    bouts: Bouts, daily: dict[str, DailySignal], row: Row, name: str, nights: int
) -> Iterator[Check]:
    """Moved by months the nights are as they were and belong to other sessions."""
    held = held_of(daily)
    fakes = fit_fake_nights(bouts, daily[name], held, nights, n_fakes=N_FAKES, seed=SEED)
    known = fakes[np.isfinite(fakes)]
    if known.size:
        share = float(np.mean(np.abs(known - np.median(known)) >= abs(row["estimate"])))
        low, high = np.percentile(known, BULK)
        values = (float(np.median(known)), float(low), float(high))
        detail = f"{say_share(share)} of {known.size} moved records show as much"
        yield Check(row, "shuffled_nights", detail, *values, share > PLACEBO_SHARE)


def _check_years(
    record: Record,
    bouts: Bouts,
    daily: dict[str, DailySignal],
    row: Row,
    name: str,
    nights: int,
) -> Iterator[Check]:
    """The association without the sessions of each year of training."""
    age = np.floor(record.training_age).astype(np.int64)[bouts.day // 7]
    read = np.isfinite(daily[name].value)[bouts.day]
    for year in np.unique(age[read]):
        kept = age != year
        parts = {part: getattr(bouts, part)[kept] for part in ("day", "lift", "strength", "weight")}
        fitted = fit_signal_effect(replace(bouts, **parts), daily[name], held_of(daily), nights)
        if isinstance(fitted, SignalEffect):
            found = (fitted.effect_pct, *fitted.interval(row["coverage"]))
            yield check_choice(row, "left_out_year", f"training age {year} to {year + 1}", found)
