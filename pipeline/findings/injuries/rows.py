"""Rows of the tables about injuries."""

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Record
from pipeline.findings.injuries.lifts import LiftCourse
from pipeline.findings.injuries.muscles import MuscleCourse
from pipeline.findings.injuries.spans import Injury

Row = dict[str, object]


def injury_row(record: Record, injury: Injury, lifts: list[LiftCourse], sets_before: float) -> Row:
    """Row of ``model_injury``; ``sets_before`` are all weekly sets of the quarter before."""
    out = [one for one in lifts if one.role == "out"]
    back = [one.back for one in out if one.back is not None]
    reached = [one.weeks_to_level for one in back if one.weeks_to_level is not None]
    sets_out = sum(one.sets_before for one in out)
    return {
        "lifter_id": record.lifter.lifter_id,
        "event_id": injury.event_id,
        "start": injury.start,
        "end": injury.end,
        "regions": " ".join(injury.regions) or None,
        "weeks": injury.weeks,
        "lifts_out": len(out),
        "substitutes": len(lifts) - len(out),
        "sets_before": sets_before if injury.before.any() else None,
        "sets_out": sets_out if injury.before.any() else None,
        "share_out_pct": 100 * sets_out / sets_before if sets_before else None,
        "lifts_back": len(back),
        "weeks_to_level": float(np.median(reached)) if reached else None,
        "lifts_at_level": len(reached),
        "sets_back_ratio": _median([one.sets_ratio for one in back]),
        "load_back_ratio": _median([one.load_ratio for one in back]),
    }


def lift_row(record: Record, injury: Injury, one: LiftCourse) -> Row:
    """Row of ``model_injury_lift``."""
    back = one.back
    change = None if back is None else back.on_return
    return {
        "lifter_id": record.lifter.lifter_id,
        "event_id": injury.event_id,
        "exercise_id": one.exercise_id,
        "role": one.role,
        "how": one.how,
        "sets_before": one.sets_before,
        "sets_during": one.sets_during,
        "weeks_away": None if back is None else back.weeks_away,
        "return_pct": None if change is None else change.pct,
        "return_low": None if change is None else change.low,
        "return_high": None if change is None else change.high,
        "weeks_to_level": None if back is None else back.weeks_to_level,
        "sets_back_ratio": None if back is None else back.sets_ratio,
        "load_back_ratio": None if back is None else back.load_ratio,
    }


def muscle_row(record: Record, injury: Injury, one: MuscleCourse) -> Row:
    """Row of ``model_injury_muscle``."""
    through = None if isinstance(one.through, Refusal) else one.through
    return {
        "lifter_id": record.lifter.lifter_id,
        "event_id": injury.event_id,
        "muscle_id": one.muscle_id,
        "share_out_pct": 100 * one.share_out,
        "sets_before": one.sets_before,
        "sets_during": one.sets_during,
        "through_pct": None if through is None else through.pct,
        "through_low": None if through is None else through.low,
        "through_high": None if through is None else through.high,
        "after_pct": None if one.after is None else one.after.pct,
        "after_low": None if one.after is None else one.after.low,
        "after_high": None if one.after is None else one.after.high,
    }


def _median(values: list[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return float(np.median(known)) if known else None
