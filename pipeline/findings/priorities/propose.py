"""Proposed phases: runs of weeks that look like a priority phase the journal does not tell of."""

import hashlib
from datetime import date, timedelta

import numpy as np
import polars as pl

from pipeline.core.calendar import say_date
from pipeline.findings.arrays import INDIRECT_COUNTS, Record
from pipeline.findings.easing_rows import own_rows
from pipeline.findings.priorities.phases import find_phases, ordinary_weeks
from pipeline.findings.priorities.say import say_names
from pipeline.findings.say import say_number
from pipeline.models.arrays import Bools, Floats
from pipeline.models.priority.detect import FoundPhase, detect_phases

PREFIX = "phase-"
KIND = "priority"


def propose_phases(record: Record, muscles: pl.DataFrame) -> pl.DataFrame:
    """Table ``tidy_proposal`` of one lifter; ``muscles`` is ``ref_muscle``.

    Shares are those among the muscles that have a strip of their own. Weeks of deloads and layoffs
    say nothing of anybody's wishes and are passed over, those of injuries do not say what is usual;
    an old complaint without an end does, since it would leave nothing to read.
    """
    shown = muscles.filter("is_shown").sort("page_order")
    names = dict(shown.select("muscle_id", "name").rows())
    told = np.zeros(record.n_weeks, dtype=bool)
    for phase in find_phases(record):
        told |= record.weeks_from(phase.start, phase.end)
    is_trained = ordinary_weeks(record)
    is_ordinary = is_trained & ~_healed_weeks(record)
    lift_sets, shares = _count_lifts(record, list(names))
    found = detect_phases(list(names), lift_sets, shares, is_trained, is_ordinary, told)
    return own_rows("tidy_proposal", record, [_row(record, one, names) for one in found])


def _count_lifts(record: Record, muscles: list[str]) -> tuple[Floats, Floats]:
    """(n_lifts, n_weeks) sets a week and (n_lifts, n_muscles) what a set counts for a muscle."""
    lifts = record.counted["exercise_id"].unique().sort().to_list()
    place = {lift: row for row, lift in enumerate(lifts)}
    sets, shares = np.zeros((len(lifts), record.n_weeks)), np.zeros((len(lifts), len(muscles)))
    for lift, week, count in record.counted.group_by("exercise_id", "week").len().rows():
        sets[place[lift], week] = count
    for lift, row in place.items():
        direct, indirect = record.muscles_of.get(lift, ((), ()))
        for column, muscle in enumerate(muscles):
            if muscle in direct:
                shares[row, column] = 1.0
            elif muscle in indirect:
                shares[row, column] = INDIRECT_COUNTS
    return sets, shares


def _healed_weeks(record: Record) -> Bools:
    """(n_weeks,) weeks of injuries that have an end."""
    healed = record.events.filter((pl.col("kind") == "injury") & pl.col("end").is_not_null())
    mask = np.zeros(record.n_weeks, dtype=bool)
    for start, end in healed.select("start", "end").rows():
        mask |= record.weeks_from(start, end)
    return mask


def proposal_id_of(lifter_id: str, start: date, end: date, subject: str) -> str:
    """Id of a proposed phase: the same every night, another once its weeks or muscles change."""
    text = "|".join((lifter_id, KIND, start.isoformat(), end.isoformat(), subject))
    return PREFIX + hashlib.sha256(text.encode()).hexdigest()[:8]


def _row(record: Record, found: FoundPhase, names: dict[str, str]) -> dict[str, object]:
    start = record.week_start(found.first)
    end = record.week_start(found.last) + timedelta(days=6)
    subject = " ".join(sorted(found.muscles))
    proposal_id = proposal_id_of(record.lifter.lifter_id, start, end, subject)
    who = say_names(name for muscle, name in names.items() if muscle in found.muscles)
    return {
        "proposal_id": proposal_id,
        "kind": KIND,
        "start": start,
        "end": end,
        "subject": subject,
        "factor": found.factor,
        "sentence": (
            f"From {say_date(start)} to {say_date(end)} {who} got {say_number(found.factor)} "
            "times their usual share of the weekly sets: a priority phase?"
        ),
        "command": f"liftstrata accept {proposal_id}",
    }
