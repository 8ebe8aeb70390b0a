"""Lifts in their variants: which set is which, their levels, and when one rested for another."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Record
from pipeline.findings.index_weeks import IndexWeeks, read_weeks
from pipeline.findings.lifts import fit_lift
from pipeline.models.weeks import find_runs

# Upper ends of the bench angles, in degrees, that go by one name; common practice.
ANGLES = ((-5.0, "decline"), (15.0, "flat"), (37.5, "about_30"), (60.0, "about_45"))
STEEPER = "steep"
POSITIONS = ("front", "behind")
# Common practice, no published source: a rest, and the weeks on either side whose level is read.
REST_WEEKS, LEVEL_WEEKS = 8, 4


@dataclass(frozen=True)
class Unit:
    """One lift in one variant, and its sets."""

    family_id: str
    exercise_id: str
    variant_id: str
    sets: pl.DataFrame


@dataclass(frozen=True)
class Rest:
    """One rest of a unit while another was trained: weeks, and change of either level over it, log,
    with the standard error of their difference."""

    weeks: int
    own: float
    other: float
    se: float


def find_units(record: Record, variants: pl.DataFrame) -> list[Unit]:
    """Every lift of ``ref_variant`` in every variant it was done in."""
    named, usual = pl.lit(STEEPER), pl.col("variant_id")
    for end, name in reversed(ANGLES):
        named = pl.when(pl.col("angle_deg") <= end).then(pl.lit(name)).otherwise(named)
    by_angle = pl.when(pl.col("angle_deg").is_null()).then(usual).otherwise(named)
    is_told = pl.col("position").is_in(POSITIONS)
    by_position = pl.when(is_told).then(pl.col("position")).otherwise(usual)
    own = variants.select("family_id", "told_by", "exercise_id", "variant_id")
    sets = record.counted.join(own, on="exercise_id", maintain_order="left").with_columns(
        variant_id=pl.when(pl.col("told_by") == "angle").then(by_angle).otherwise(by_position)
    )
    keys = ["family_id", "exercise_id", "variant_id"]
    parts = sets.sort(*keys, maintain_order=True).partition_by(keys, maintain_order=True)
    units = []
    for part in parts:
        family_id, exercise_id, variant_id = part.select(keys).row(0)
        units.append(Unit(family_id, exercise_id, variant_id, part))
    return units


def read_levels(
    record: Record, units: list[Unit], levels: pl.DataFrame
) -> dict[tuple[str, str], IndexWeeks]:
    """Level of each unit by (exercise, variant): the lift's own where it was done in one variant
    only, else fitted to the sets of the variant. Those that cannot be fitted are left out."""
    found = {}
    for unit in units:
        others = [one for one in units if one.exercise_id == unit.exercise_id]
        if len(others) == 1:
            own = levels.filter(pl.col("exercise_id") == unit.exercise_id)
            level = None if own.is_empty() else read_weeks(record, own)
        else:
            level = _fit_level(record, unit)
        if level is not None:
            found[unit.exercise_id, unit.variant_id] = level
    return found


def _fit_level(record: Record, unit: Unit) -> IndexWeeks | None:
    usable = record.strength_sets.join(unit.sets, on=["file_id", "row_no", "set_no"], how="semi")
    fitted = fit_lift(record, unit.exercise_id, usable)
    if isinstance(fitted, Refusal):
        return None
    return IndexWeeks(fitted.level_log, fitted.se, fitted.is_trained)


def find_rests(own: IndexWeeks, other: IndexWeeks) -> Iterator[Rest]:
    """Rests of ``own`` with the other trained in half of the weeks or more.

    Levels are means of the last four trained weeks before and the first four after it, the other's
    of the weeks nearest to those.
    """
    trained = np.flatnonzero(own.is_trained)
    if trained.size < 2 * LEVEL_WEEKS:
        return
    for start, stop in find_runs(~own.is_trained):
        is_inside = trained[0] < start and stop <= trained[-1]
        if not is_inside or stop - start < REST_WEEKS:
            continue
        if 2 * other.is_trained[start:stop].sum() < stop - start:
            continue
        before, after = trained[trained < start][-LEVEL_WEEKS:], trained[trained >= stop]
        after = after[:LEVEL_WEEKS]
        ends = [
            (level.level_log[w], level.se[w]) for level in (own, other) for w in (before, after)
        ]
        if not all(np.isfinite(level).all() and np.isfinite(se).all() for level, se in ends):
            continue
        means = [float(level.mean()) for level, _ in ends]
        yield Rest(
            weeks=stop - start,
            own=means[1] - means[0],
            other=means[3] - means[2],
            se=float(np.sqrt(sum(float(se.mean()) ** 2 for _, se in ends))),
        )
