"""The two invented lifters of the demo: who they are and what happened in their years.

Nobody in here exists. Alder rowed, then lifted for twelve logged years; Birch has two short years,
for whom most questions cannot be answered yet. What is told here by dates is given to the
simulator, which makes the sets, nights and tape measures around it (``pipeline.models.simulate``).
"""

from dataclasses import dataclass, field
from datetime import date

from pipeline.models.simulate import (
    Career,
    CareerOptions,
    CareerScript,
    ScriptedInjury,
    ScriptedPhase,
    ScriptedSpan,
    simulate_career,
)

# The years of each layout: the first day written in it. The last layout runs to the end.
EUROPEAN_FROM = date(2018, 1, 1)
EXERCISES_FROM = date(2021, 1, 4)
SETS_FROM = date(2024, 1, 1)

GYM_CHANGE = date(2019, 9, 2)
NIGHTS_FROM = date(2020, 11, 16)
JOURNAL_FROM = date(2017, 1, 1)


@dataclass(frozen=True)
class InventedLifter:
    """One lifter of the demo. Deloads before ``deloads_told_from`` are not in the journal, nor the
    phases that begin on days of ``untold``."""

    lifter_id: str
    name: str
    training_began: date
    seed: int
    options: CareerOptions
    deloads_told_from: date
    untold: tuple[date, ...] = ()
    remarks: dict[date, str] = field(default_factory=dict)

    def live(self) -> Career:
        """The lifter's simulated career; the same each time."""
        return simulate_career(self.seed, self.options)


def _phases(kind: str, *rows: tuple[date, date, str, str]) -> tuple[ScriptedPhase, ...]:
    """Phases of one kind from (first day, last day, muscles, why)."""
    return tuple(
        ScriptedPhase(kind, start, end, tuple(muscles.split()), why=why)
        for start, end, muscles, why in rows
    )


_PRIORITIES = _phases(
    "priority",
    (date(2016, 2, 1), date(2016, 5, 1), "hamstrings", "rowing left them behind the quads"),
    (date(2017, 3, 6), date(2017, 6, 4), "calves", "never trained while rowing"),
    (date(2018, 2, 5), date(2018, 4, 29), "side_delts", "wider shoulders"),
    (date(2019, 2, 4), date(2019, 5, 5), "hamstrings calves", "second attempt, both together"),
    (date(2022, 9, 5), date(2022, 12, 4), "quads", "to regain what the knee cost"),
    (date(2023, 4, 3), date(2023, 7, 2), "hamstrings", "third hamstring phase"),
    (date(2024, 2, 5), date(2024, 5, 5), "calves", "third calf phase"),
    (date(2025, 3, 3), date(2025, 6, 1), "side_delts rear_delts", "shoulders again"),
    (date(2025, 9, 1), date(2025, 11, 30), "hamstrings calves", "fourth, at higher age"),
)
_HOLDS = _phases(
    "hold",
    (date(2016, 2, 1), date(2016, 5, 1), "lats upper_back", "a rower's back needs little"),
    (date(2019, 2, 4), date(2019, 5, 5), "chest front_delts", "room for the legs"),
    (date(2023, 4, 3), date(2023, 7, 2), "lats upper_back", "room for the hamstrings"),
    (date(2025, 9, 1), date(2025, 11, 30), "lats upper_back", "room for the legs"),
)
_DIETS = (
    *_phases(
        "surplus",
        (date(2015, 9, 7), date(2015, 12, 20), "", "first planned gain"),
        (date(2016, 10, 3), date(2017, 2, 26), "", "winter gain"),
        (date(2018, 9, 3), date(2019, 1, 27), "", "winter gain"),
        (date(2021, 9, 6), date(2022, 1, 30), "", "winter gain"),
        (date(2024, 9, 30), date(2025, 2, 16), "", "winter gain"),
    ),
    *_phases(
        "deficit",
        (date(2017, 6, 12), date(2017, 9, 3), "", "back to the usual weight"),
        (date(2020, 3, 2), date(2020, 5, 24), "", "back to the usual weight"),
        (date(2023, 8, 28), date(2023, 11, 12), "", "back to the usual weight"),
        (date(2026, 2, 2), date(2026, 4, 26), "", "back to the usual weight"),
    ),
)
_KNEE = ScriptedInjury(
    start=date(2022, 2, 7),
    end=date(2022, 7, 10),
    region="knee",
    lifts_out=("back_squat", "front_squat", "hack_squat", "bulgarian_split_squat"),
    substitutes=("leg_press", "hip_thrust"),
    why="sore knee, no deep squats; leg press with a short range and hip thrust instead",
)
# Still going on when the record ends: the journal tells no end.
_ELBOW = ScriptedInjury(
    start=date(2026, 9, 14),
    end=date(2026, 11, 15),
    region="elbow",
    lifts_out=("lying_triceps_extension", "close_grip_bench_press", "dip"),
    substitutes=("overhead_cable_extension",),
    why="inside of the elbow, nothing pressed or lowered close; cable extensions go",
)
_LAYOFFS = (
    ScriptedSpan(date(2015, 8, 3), date(2015, 8, 16), "holiday"),
    ScriptedSpan(date(2016, 7, 25), date(2016, 8, 7), "holiday"),
    ScriptedSpan(date(2017, 12, 25), date(2018, 1, 7), "holiday"),
    ScriptedSpan(date(2018, 7, 9), date(2018, 7, 29), "long holiday"),
    ScriptedSpan(date(2019, 12, 23), date(2020, 1, 5), "holiday"),
    ScriptedSpan(date(2021, 8, 2), date(2021, 8, 15), "holiday"),
    ScriptedSpan(date(2023, 1, 9), date(2023, 2, 12), "illness, in bed for the first two weeks"),
    ScriptedSpan(date(2024, 7, 15), date(2024, 8, 4), "long holiday"),
    ScriptedSpan(date(2025, 12, 22), date(2026, 1, 4), "holiday"),
)
_ALDER_LIFTS = (
    *("bench_press", "incline_bench_press", "incline_dumbbell_press", "machine_chest_press"),
    *("machine_fly", "dip", "overhead_press", "machine_shoulder_press"),
    *("dumbbell_lateral_raise", "cable_lateral_raise", "close_grip_bench_press"),
    *("lying_triceps_extension", "overhead_cable_extension", "pull_up", "lat_pulldown"),
    *("barbell_row", "seated_cable_row", "chest_supported_row", "barbell_shrug"),
    *("machine_rear_delt_fly", "face_pull", "barbell_curl", "incline_dumbbell_curl"),
    *("hammer_curl", "reverse_curl", "back_squat", "front_squat", "hack_squat", "leg_press"),
    *("bulgarian_split_squat", "leg_extension", "deadlift", "romanian_deadlift", "hip_thrust"),
    *("seated_leg_curl", "lying_leg_curl", "back_extension", "standing_calf_raise"),
    *("seated_calf_raise", "cable_crunch", "hanging_leg_raise"),
)

ALDER = InventedLifter(
    lifter_id="alder",
    name="Alder (invented)",
    training_began=date(2013, 5, 18),
    seed=29,
    options=CareerOptions(
        years=12,
        sessions_per_week=4,
        training_age_at_start=1.5,
        rir_recorded_from=0.511,  # from the first week of the layout that has a place for it
        deload_kind="planned",
        has_deload_effect=True,
        has_sleep_effect=True,
        has_fatigue=True,
        tolerance_trend="rising",
        script=CareerScript(
            start=date(2014, 11, 17),
            exercises=_ALDER_LIFTS,
            usual=(
                *("bench_press", "overhead_press", "pull_up", "seated_cable_row"),
                *("back_squat", "romanian_deadlift"),
            ),
            first_used=(("leg_press", _KNEE.start), ("hip_thrust", _KNEE.start)),
            phases=(*_PRIORITIES, *_HOLDS, *_DIETS),
            injuries=(_KNEE, _ELBOW),
            layoffs=_LAYOFFS,
            unlogged=(ScriptedSpan(date(2020, 10, 5), date(2021, 1, 3), "the notes were lost"),),
            gym_changes=(GYM_CHANGE,),
            device_changes=(date(2023, 10, 2),),
            nights_from=date(2014, 11, 17),  # body weight is taken from here too
            warmups_from=SETS_FROM,
            drops_from=date(2016, 1, 4),
            girth_sites=("thigh",),
            body_weight_kg=86.0,
        ),
    ),
    deloads_told_from=JOURNAL_FROM,
    untold=(date(2023, 4, 3),),
    remarks={
        date(2015, 8, 3): "holiday",
        date(2019, 9, 2): "neues Studio, Kilo statt Pfund",
        date(2021, 8, 2): "holiday",
        date(2022, 2, 7): "knee sore on stairs",
        date(2023, 1, 9): "ill",
        date(2024, 7, 15): "holiday",
    },
)

_BIRCH_LIFTS = (
    *("bench_press", "incline_dumbbell_press", "overhead_press", "dumbbell_lateral_raise"),
    *("overhead_cable_extension", "lat_pulldown", "seated_cable_row", "face_pull"),
    *("barbell_curl", "back_squat", "leg_press", "romanian_deadlift", "seated_leg_curl"),
    *("standing_calf_raise", "cable_crunch"),
)

BIRCH = InventedLifter(
    lifter_id="birch",
    name="Birch (invented)",
    training_began=date(2024, 5, 20),
    seed=4,
    options=CareerOptions(
        years=2,
        sessions_per_week=3,
        training_age_at_start=0.5,
        with_nights=False,
        rir_recorded_from=0.3,
        deload_kind="planned",
        script=CareerScript(
            start=date(2024, 11, 18),
            exercises=_BIRCH_LIFTS,
            usual=("bench_press", "back_squat", "romanian_deadlift"),
            phases=_phases(
                "surplus", (date(2025, 10, 6), date(2026, 1, 25), "", "first planned gain")
            ),
            injuries=(),
            layoffs=(ScriptedSpan(date(2025, 8, 4), date(2025, 8, 17), "holiday"),),
            unlogged=(),
            gym_changes=(),
            device_changes=(),
            warmups_from=date(2026, 11, 9),
            drops_from=date(2026, 11, 9),
            body_weight_kg=68.0,
        ),
    ),
    deloads_told_from=date(2025, 6, 1),
)

LIFTERS: tuple[InventedLifter, ...] = (ALDER, BIRCH)
