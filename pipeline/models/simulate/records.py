"""What a simulated career is made of: the record as a lifter keeps it, and the truth behind it.

Every array is aligned within its class. Days count from the career's first day (a Monday), weeks
are `day // 7`. All of it is invented.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pipeline.models.arrays import Bools, Floats, Ints

MUSCLES: tuple[str, ...] = (
    "chest",
    "front_delts",
    "side_delts",
    "triceps",
    "lats",
    "upper_back",
    "traps",
    "rear_delts",
    "biceps",
    "forearms",
    "quads",
    "hamstrings",
    "glutes",
    "calves",
    "lower_back",
    "abs",
)

EVENT_KINDS: tuple[str, ...] = (
    "priority",
    "hold",
    "surplus",
    "deficit",
    "deload",
    "layoff",
    "injury",
    "gym_change",
    "device_change",
)

WEEK_STATUSES: tuple[str, ...] = ("trained", "deload", "layoff", "unlogged")


@dataclass(frozen=True)
class SimExercise:
    """One lift of the career's pool; `direct` counts one set, `indirect` half a set."""

    exercise_id: str
    equipment: str
    direct: tuple[str, ...]
    indirect: tuple[str, ...]
    body_weight_share: float
    is_compound: bool


@dataclass(frozen=True)
class SimSets:
    """One entry per segment, in the order performed; drops of a cluster share `set_no`.

    `load_kg` is the whole external load, `load_moved_kg` adds the share of body weight; `rir` is
    what the lifter wrote (nan: nothing written, 5: five or more), `true_rir` the whole repetitions
    that were left; `cluster` is -1 outside drop clusters; `segment_no` 1 is the parent.
    `exercise` indexes `Career.exercises`; `gym` counts from 0.
    """

    week: Ints
    day: Ints
    session: Ints
    exercise: Ints
    set_no: Ints
    is_warmup: Bools
    load_kg: Floats
    load_moved_kg: Floats
    reps: Ints
    rir: Floats
    true_rir: Floats
    to_failure: Bools
    cluster: Ints
    segment_no: Ints
    gym: Ints


@dataclass(frozen=True)
class SimNights:
    """One entry per recorded day; the night is the one that ended on that day; nan is missing."""

    day: Ints
    sleep_min: Floats
    resting_hr_bpm: Floats
    hrv_rmssd_ms: Floats
    steps: Floats
    body_weight_kg: Floats
    device: Ints


@dataclass(frozen=True)
class SimGirth:
    """Tape measures of one site; `muscles` are those whose size it stands for."""

    site: str
    muscles: tuple[str, ...]
    day: Ints
    girth_cm: Floats


@dataclass(frozen=True)
class SimEvent:
    """An event with its true dates; `is_declared` is false where the journal misses it.

    `lifts_out` and `substitutes` are exercise ids and filled for injuries only.
    """

    kind: str
    start_day: int
    end_day: int
    subject: tuple[str, ...]
    why: str
    is_declared: bool = True
    lifts_out: tuple[str, ...] = ()
    substitutes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Truth:
    """The planted truth. Logs are natural; multiply a difference by 100 for about per cent.

    `lift_level_log` (exercises, weeks): log one-repetition maximum in kg moved, rested, on the
    first gym's equipment, practice included; fatigue, sleep, stress and the day left out.
    `muscle_index_log` (muscles, weeks): strength of the muscle itself, 0 in the first week;
    losses through layoffs included, practice left out.
    `weekly_sets` (muscles, weeks): fractional working sets, also of unlogged weeks.
    `best_sets` (muscles, weeks): the weekly sets at which growth was fastest.
    `deload_effect_pct`: mean change of shown strength over muscles and over weeks 1-3 after a
    deload, against the same career without deloads; nan where none is followed by such weeks.
    `sleep_effect_pct_per_h`: shown strength per hour of the night before.
    `equipment_log` (exercises, gyms): what the same strength shows on each gym's equipment.
    `shown_log` (muscles, weeks): index with fatigue and the after-effect of deloads.
    `usual_index_log` (muscles, weeks): the index had the weeks of priority phases grown as with
    usual sets (see `usual`); through a phase the index gained what it rose more than this.
    """

    lift_level_log: Floats
    muscle_index_log: Floats
    weekly_sets: Floats
    best_sets: Floats
    deload_effect_pct: float
    sleep_effect_pct_per_h: float
    has_fatigue: bool
    has_stress: bool
    tolerance_trend: str
    week_status: NDArray[np.str_]
    equipment_log: Floats
    shown_log: Floats
    usual_index_log: Floats


@dataclass(frozen=True)
class Career:
    """One invented lifter: the record (`sets`, `nights`, `girths`, `events`) and its truth."""

    n_weeks: int
    start: date
    training_age_at_start: float
    sessions_per_week: int
    exercises: tuple[SimExercise, ...]
    muscles: tuple[str, ...]
    sets: SimSets
    nights: SimNights
    girths: tuple[SimGirth, ...]
    events: tuple[SimEvent, ...]
    truth: Truth
