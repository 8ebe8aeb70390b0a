"""A simulated career as a person's logbook: one entry per exercise and day, set by set."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from pipeline.models.simulate import Career

# Weeks after which another bench angle, and another stand at the cable, comes into use. The
# simulator knows no such variants: between them nothing is planted, neither gain nor loss.
_WEEKS_PER_ANGLE = 11
_WEEKS_PER_STAND = 9
_ANGLED = frozenset({"incline_bench_press", "incline_dumbbell_press"})
_RAISED_ON_CABLE = frozenset({"cable_lateral_raise"})


@dataclass(frozen=True)
class Segment:
    """One straight or parent set, or one drop. ``load_kg`` is the whole external load."""

    load_kg: float
    reps: int
    rir: int | None = None
    to_failure: bool = False
    is_warmup: bool = False


@dataclass(frozen=True)
class Entry:
    """One exercise of one day. A set is its parent segment followed by its drops."""

    day: date
    exercise_id: str
    loaded_as: str
    sets: tuple[tuple[Segment, ...], ...]
    angle_deg: int | None = None
    position: str | None = None

    @property
    def segments(self) -> list[Segment]:
        """Every segment in the order performed."""
        return [segment for one in self.sets for segment in one]

    @property
    def has_reserve(self) -> bool:
        """Reserve or failure was written down for some set."""
        return any(one.rir is not None or one.to_failure for one in self.segments)


def loaded_as(equipment: str) -> str:
    """How lifters write a load: ``per_hand`` (half the whole), ``added`` or ``total``."""
    return {"dumbbell": "per_hand", "body_weight": "added"}.get(equipment, "total")


def keep_logbook(career: Career, with_warmups: bool = True) -> list[Entry]:
    """Every logged exercise of the career, in the order performed."""
    sets = career.sets
    rows = np.flatnonzero(with_warmups | ~sets.is_warmup)
    bout = np.stack([sets.session[rows], sets.exercise[rows]])
    starts = np.flatnonzero(np.r_[True, np.any(bout[:, 1:] != bout[:, :-1], axis=0)])
    ends = [*starts[1:], len(rows)]
    return [
        _entry(career, rows[start:end].tolist()) for start, end in zip(starts, ends, strict=True)
    ]


def _entry(career: Career, rows: list[int]) -> Entry:
    sets, first = career.sets, rows[0]
    exercise = career.exercises[sets.exercise[first]]
    name, week = exercise.exercise_id, int(sets.week[first])
    grouped: list[list[Segment]] = []
    for row in rows:
        if sets.segment_no[row] == 1:
            grouped.append([])
        grouped[-1].append(_segment(career, row))
    return Entry(
        day=career.start + timedelta(days=int(sets.day[first])),
        exercise_id=name,
        loaded_as=loaded_as(exercise.equipment),
        sets=tuple(map(tuple, grouped)),
        angle_deg=(30, 45)[week // _WEEKS_PER_ANGLE % 2] if name in _ANGLED else None,
        position=("upright", "leaning")[week // _WEEKS_PER_STAND % 2]
        if name in _RAISED_ON_CABLE
        else None,
    )


def _segment(career: Career, row: int) -> Segment:
    sets = career.sets
    rir = sets.rir[row]
    return Segment(
        load_kg=float(sets.load_kg[row]),
        reps=int(sets.reps[row]),
        rir=None if np.isnan(rir) else int(rir),
        to_failure=bool(sets.to_failure[row]),
        is_warmup=bool(sets.is_warmup[row]),
    )
