"""New best sets of each lift: facts, told at once.

A set is a best when no set that was there at the last refresh has as many repetitions with as much
load. Best sets are kept as the few pairs that no other set matches, so that a file that is
exported anew with another checksum brings nothing twice. ``load`` is the whole external load; the
estimated 1RM is read off the lift's own curve of today for both the old sets and the new ones.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.findings.news.state import LiftBests, Pairs
from pipeline.models.strength.rep_curve import level_share, log_factor

# Sets before which each best of a lift is only its beginning; common practice.
LEAST_SETS = 30
Curve = tuple[float, float]

MOST_REPS = 20  # longer sets say little of strength (``rep_curve``)


@dataclass(frozen=True)
class Best:
    """One new best set. ``gain`` is the log of its e1RM over the old best one's, 0 without load."""

    exercise_id: str
    day: date
    reps: int
    load_kg: float
    is_ever: bool
    is_e1rm: bool
    gain: float
    was: tuple[int, float] | None


def count_bests(sets: pl.DataFrame, years: float) -> dict[str, LiftBests]:
    """Best sets by lift, of all years and of the last ``years``, from ``tidy_set`` rows."""
    able = able_sets(sets)
    if able.is_empty():
        return {}
    ever = _pairs_by_lift(able)
    recent = _pairs_by_lift(able.filter(pl.col("session_date") > _first_recent(able, years)))
    counts = dict(able.group_by("exercise_id").len().iter_rows())
    return {
        lift: LiftBests(counts[lift], pairs, recent.get(lift, ()))
        for lift, pairs in sorted(ever.items())
    }


def able_sets(sets: pl.DataFrame) -> pl.DataFrame:
    """Sets that can be a best: exercise_id, session_date, reps, load (kg, help below zero).

    No warm-ups, nothing doubted, no drops, no sets by time, none longer than ``MOST_REPS``.
    """
    load = pl.col("load_kg").fill_null(0.0)
    return sets.filter(
        ~pl.col("is_warmup")
        & ~pl.col("is_doubted")
        & (pl.col("segment_no") == 1)
        & pl.col("reps").is_between(1, MOST_REPS)
        & ~pl.col("exercise_id").str.starts_with("unmatched:")
    ).select(
        "exercise_id",
        "session_date",
        pl.col("reps").cast(pl.Int64),
        load=pl.when(pl.col("load_basis") == "assisted").then(-load).otherwise(load),
    )


def find_bests(
    before: Mapping[str, LiftBests],
    sets: pl.DataFrame,
    curves: Mapping[str, Curve],
    years: float,
) -> list[Best]:
    """The best new set of each lift that has one, largest gain first.

    Parameters
    ----------
    before : best sets by lift at the last refresh.
    sets : ``tidy_set`` rows of now.
    curves : slope and level of each lift's own repetition curve; lifts of the body weight, whose
        load is not all that is moved, are left out.
    years : how many the last years are.
    """
    able = able_sets(sets)
    if able.is_empty():
        return []
    start = _first_recent(able, years)
    found = []
    for (lift,), own in able.partition_by("exercise_id", as_dict=True).items():
        old = before.get(str(lift))
        if old is None or old.sets < LEAST_SETS:
            continue
        best = _find_best(str(lift), old, own, curves.get(str(lift)), start)
        found += [] if best is None else [best]
    return sorted(found, key=lambda one: (not one.is_ever, -one.gain, one.exercise_id))


def _find_best(
    lift: str, old: LiftBests, own: pl.DataFrame, curve: Curve | None, start: date
) -> Best | None:
    ever = [row for row in _best_rows(own) if not _is_matched(row[:2], old.ever)]
    is_ever = bool(ever)
    new = ever
    if not ever and old.recent:
        recent = own.filter(pl.col("session_date") > start)
        new = [row for row in _best_rows(recent) if not _is_matched(row[:2], old.recent)]
    if not new:
        return None
    held = old.ever if is_ever else old.recent
    most = max((log_e1rm(*pair, curve) for pair in held), default=-np.inf)
    row = max(new, key=lambda one: (log_e1rm(one[0], one[1], curve), one[0]))
    best = log_e1rm(row[0], row[1], curve)
    gain = best - most if np.isfinite(best) and np.isfinite(most) else 0.0
    is_e1rm = gain > 0
    if not is_ever and not is_e1rm:
        return None
    at_reps = [pair for pair in held if pair[0] >= row[0]]
    was = max(at_reps, key=lambda pair: pair[1], default=None)
    return Best(lift, row[2], row[0], row[1], is_ever, is_e1rm, max(float(gain), 0.0), was)


def log_e1rm(reps: int, load: float, curve: Curve | None) -> float:
    """Log estimated 1RM of a set taken as far as it was, kg; minus infinity where unknown."""
    if load <= 0 or curve is None:
        return -np.inf
    slope, level = curve
    factor, share = log_factor(np.float64(reps)), level_share(np.float64(reps))
    return float(np.log(load) + slope * factor + level * share)


def _first_recent(able: pl.DataFrame, years: float) -> date:
    last: date = able["session_date"].max()  # type: ignore[assignment]
    return last - timedelta(days=round(years * DAYS_PER_YEAR))


def _pairs_by_lift(able: pl.DataFrame) -> dict[str, Pairs]:
    groups = able.partition_by("exercise_id", as_dict=True)
    return {
        str(lift): tuple((reps, load) for reps, load, _ in _best_rows(own))
        for (lift,), own in groups.items()
    }


def _best_rows(own: pl.DataFrame) -> list[tuple[int, float, date]]:
    """(repetitions, load, first day) that no other set of the lift matches, fewest first."""
    at_reps = (
        own.sort("session_date", maintain_order=True)
        .group_by("reps")
        .agg(pl.col("load").max(), pl.col("session_date").get(pl.col("load").arg_max()))
        .sort("reps", descending=True)
    )
    kept: list[tuple[int, float, date]] = []
    for reps, load, day in at_reps.iter_rows():
        if not kept or load > kept[-1][1]:
            kept.append((reps, load, day))
    return kept[::-1]


def _is_matched(pair: tuple[int, float], held: Iterable[tuple[int, float]]) -> bool:
    return any(reps >= pair[0] and load >= pair[1] for reps, load in held)
