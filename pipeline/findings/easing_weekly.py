"""Weekly strength, deloads, weeks of rest and layoffs of a record, as the models of easing off take
them.

Three kinds of pause are kept apart, since the only trial of a deload that was read tested another
one than most lifters do (Coleman et al. 2024, read: a week of complete rest):

* deload: a reduced week with training, told or found by rule;
* week of rest: one whole week without any training, also a deload that was told but not trained;
* layoff: two or more whole weeks in a row without training.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
import polars as pl

from pipeline.core.calendar import HALF_WEEK
from pipeline.findings.arrays import SEGMENTED, Record, column
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.pauses.layoff import LEAST_WEEKS_OFF, Layoff, find_layoffs
from pipeline.models.strength.rep_curve import log_factor
from pipeline.models.strength.weekly_strength import can_be_read, fit_weekly_strength
from pipeline.models.weeks import find_runs, mask_after


@dataclass(frozen=True)
class Weekly:
    """Weekly strength with its weights; deloads and layoffs by week; weeks of rest."""

    strength: Floats
    weights: Floats
    deloads: dict[int, dict]
    layoffs: dict[int, tuple[Layoff, dict]]
    rests: Ints


def read_weekly(record: Record, rep_slopes: Mapping[str, float]) -> Weekly:
    """What the questions of easing off are asked of, and the checks of their answers too."""
    strength, weights = _weekly_strength(record, rep_slopes)
    deloads = {week: one for week, one in _deload_weeks(record).items() if record.trained[week]}
    return Weekly(strength, weights, deloads, _layoff_weeks(record), find_rest_weeks(record))


def deload_arguments(record: Record, weekly: Weekly) -> tuple[Floats, Floats, Ints, Bools, Ints]:
    """Weekly strength, its weights, weeks of deloads, weeks left out and weeks of rest, as
    ``fit_deload_response`` takes them."""
    weeks = np.array(sorted(weekly.deloads), dtype=np.int64)
    return weekly.strength, weekly.weights, weeks, _left_out(record), weekly.rests


def rest_arguments(record: Record, weekly: Weekly) -> tuple[Floats, Floats, Ints, Bools, Ints]:
    """The same about weeks of rest, with the deloads as the other kind of pause."""
    strength, weights, deloads, left_out, rests = deload_arguments(record, weekly)
    return strength, weights, rests, left_out, deloads


def layoff_arguments(record: Record, weekly: Weekly) -> tuple[Floats, Floats, tuple[Layoff, ...]]:
    """Weekly strength without deloads, its weights and the layoffs, as the fit takes them."""
    blanked = weekly.strength.copy()
    blanked[record.weeks_within("deload")] = np.nan
    return blanked, weekly.weights, tuple(layoff for layoff, _ in weekly.layoffs.values())


def long_layoffs(record: Record) -> Bools:
    """(n_weeks,) weeks off that are known, two or more in a row; after a single week of rest
    nothing has to be left out."""
    away = record.weeks_within("layoff") & ~record.trained
    away[find_rest_weeks(record)] = False
    return away


def find_rest_weeks(record: Record) -> Ints:
    """Weeks known to be without training, between two trained ones."""
    known = record.weeks_within("layoff", "deload")
    single = [
        start
        for start, stop in find_runs(~record.trained)
        if stop - start < LEAST_WEEKS_OFF and start > 0 and known[start]
    ]
    return np.array(single, dtype=np.int64)


def _left_out(record: Record) -> Bools:
    """Layoffs and unlogged weeks with the weeks after them; and all weeks of a deload, light by
    intention, also those that its main week is not."""
    unknown = record.unlogged & ~record.weeks_within("deload")
    return mask_after(long_layoffs(record) | unknown) | record.weeks_within("deload")


def _weekly_strength(record: Record, rep_slopes: Mapping[str, float]) -> tuple[Floats, Floats]:
    """Weekly strength from sets with recorded reserve: an assumed one would hide what we ask."""
    sets = record.strength_sets.filter(pl.col("rir_source") == "recorded")
    sets = sets.filter(pl.Series(can_be_read(column(sets, "reps"), column(sets, "rir"))))
    slope = np.array([rep_slopes.get(one, 1.0) for one in sets["exercise_id"]])
    total = column(sets, "reps") + column(sets, "rir")
    value = np.log(column(sets, "load_moved_kg")) + slope * log_factor(total)
    week = sets["week"].to_numpy()
    return fit_weekly_strength(week, number_lifts(record, sets), value, record.n_weeks)


def number_lifts(record: Record, sets: pl.DataFrame) -> np.ndarray:
    """A number for each lift; a machine or cable after a change of gym is a new lift."""
    segment = record.segment_of_week[sets["week"].to_numpy()]
    keys = [
        f"{one}@{part}" if record.equipment.get(one) in SEGMENTED else one
        for one, part in zip(sets["exercise_id"], segment, strict=True)
    ]
    return np.unique(keys, return_inverse=True)[1].astype(np.int64)


def _deload_weeks(record: Record) -> dict[int, dict]:
    """Deload events by their main week inside the record."""
    events = record.events.filter(pl.col("kind") == "deload").sort("start")
    by_week = {_main_week(record, event): event for event in events.iter_rows(named=True)}
    return {week: event for week, event in by_week.items() if 0 <= week < record.n_weeks}


def _main_week(record: Record, event: dict) -> int:
    """The week after which strength is read: the one that holds most of the event's last days."""
    last = record.last_day_of("deload", event["start"], event["end"])
    half = (last - event["start"]) // 2
    return record.week_of(last - min(half, HALF_WEEK))


def _layoff_weeks(record: Record) -> dict[int, tuple[Layoff, dict]]:
    """Layoffs whose length is known, by their first week, each with its event."""
    events = record.events.filter(pl.col("kind") == "layoff").sort("start").rows(named=True)
    found = {}
    for layoff in find_layoffs(record.trained, record.unlogged):
        first = record.week_start(layoff.start_week)
        last = record.week_start(layoff.end_week) + timedelta(days=6)
        for event in events:
            end = record.last_day_of("layoff", event["start"], event["end"])
            if event["start"] <= last and end >= first:
                found[layoff.start_week] = (layoff, event)
                break
    return found
