"""The lifts that invented lifters choose from.

The simulator keeps its own short list, since models read no files; a test holds its ids and
equipment against the reference table. Ratios (trained maximum per kg of body weight) and
repetition ranges are common practice, no published source: they set the scale of the loads only.
"""

from dataclasses import dataclass

from .records import MUSCLES, SimExercise

# id | equipment | compound | direct | indirect | body share | ratio | reps | regions under strain
_TABLE = """
bench_press|barbell|c|chest|triceps,front_delts|0|1.30|4-10|shoulder
incline_bench_press|barbell|c|chest|triceps,front_delts|0|1.05|5-10|shoulder
dumbbell_bench_press|dumbbell|c|chest|triceps,front_delts|0|1.05|6-12|shoulder
incline_dumbbell_press|dumbbell|c|chest|triceps,front_delts|0|0.90|6-12|shoulder
machine_chest_press|machine|c|chest|triceps,front_delts|0|1.20|8-12|
cable_fly|cable|i|chest|front_delts|0|0.55|10-15|
machine_fly|machine|i|chest|front_delts|0|0.90|10-15|
dip|body_weight|c|chest,triceps|front_delts|0.95|1.50|6-12|shoulder,elbow
overhead_press|barbell|c|front_delts|triceps,side_delts,chest|0|0.80|4-8|shoulder
dumbbell_shoulder_press|dumbbell|c|front_delts|triceps,side_delts|0|0.70|6-12|shoulder
machine_shoulder_press|machine|c|front_delts|triceps,side_delts|0|0.90|8-12|
dumbbell_lateral_raise|dumbbell|i|side_delts|traps|0|0.40|10-15|
cable_lateral_raise|cable|i|side_delts|traps|0|0.22|10-15|
machine_lateral_raise|machine|i|side_delts|traps|0|0.55|10-15|
close_grip_bench_press|barbell|c|triceps|front_delts,chest|0|1.15|5-10|elbow
triceps_pushdown|cable|i|triceps||0|0.60|8-15|
overhead_cable_extension|cable|i|triceps||0|0.48|10-15|elbow
lying_triceps_extension|barbell|i|triceps||0|0.55|8-12|elbow
pull_up|body_weight|c|lats|biceps,upper_back|1|1.45|4-10|elbow
chin_up|body_weight|c|lats|upper_back,biceps|1|1.50|4-10|elbow
lat_pulldown|cable|c|lats|biceps,upper_back|0|1.10|8-12|
neutral_grip_pulldown|cable|c|lats|biceps,upper_back|0|1.12|8-12|
straight_arm_pulldown|cable|i|lats|triceps|0|0.50|10-15|
barbell_row|barbell|c|upper_back,lats|biceps,rear_delts,lower_back|0|1.10|5-10|lower_back
dumbbell_row|dumbbell|c|lats,upper_back|biceps,rear_delts|0|0.60|8-12|
seated_cable_row|cable|c|upper_back,lats|biceps,rear_delts|0|1.10|8-12|
chest_supported_row|machine|c|upper_back,lats|biceps,rear_delts|0|1.00|8-12|
t_bar_row|barbell|c|upper_back,lats|biceps,rear_delts,lower_back|0|1.00|6-12|lower_back
barbell_shrug|barbell|i|traps|forearms|0|1.80|8-12|
dumbbell_shrug|dumbbell|i|traps|forearms|0|1.20|8-15|
machine_rear_delt_fly|machine|i|rear_delts|upper_back|0|0.70|10-15|
dumbbell_rear_delt_fly|dumbbell|i|rear_delts|upper_back|0|0.35|10-15|
face_pull|cable|c|rear_delts,upper_back||0|0.60|10-15|
barbell_curl|barbell|i|biceps|forearms|0|0.62|6-12|elbow
dumbbell_curl|dumbbell|i|biceps|forearms|0|0.56|8-12|
incline_dumbbell_curl|dumbbell|i|biceps|forearms|0|0.46|8-12|
preacher_curl|barbell|i|biceps|forearms|0|0.55|8-12|elbow
cable_curl|cable|i|biceps|forearms|0|0.60|8-15|
hammer_curl|dumbbell|i|biceps,forearms||0|0.60|8-12|
wrist_curl|barbell|i|forearms||0|0.55|12-15|
reverse_curl|barbell|i|forearms|biceps|0|0.42|8-12|
back_squat|barbell|c|quads,glutes|lower_back|0|1.70|4-10|knee,lower_back
front_squat|barbell|c|quads,glutes|upper_back|0|1.35|4-8|knee,lower_back
hack_squat|machine|c|quads|glutes|0|1.90|6-12|knee
leg_press|machine|c|quads|glutes|0|3.20|8-15|
bulgarian_split_squat|dumbbell|c|quads,glutes||0.75|1.40|8-12|knee
leg_extension|machine|i|quads||0|1.05|10-15|
deadlift|barbell|c|hamstrings,glutes,lower_back|quads,traps,forearms,upper_back|0|2.05|3-8|lower_back
romanian_deadlift|barbell|c|hamstrings,glutes|lower_back,forearms|0|1.55|6-10|lower_back
hip_thrust|barbell|c|glutes|hamstrings,quads|0|2.00|6-12|
seated_leg_curl|machine|i|hamstrings|calves|0|0.85|8-15|
lying_leg_curl|machine|i|hamstrings|calves|0|0.70|8-15|
good_morning|barbell|c|hamstrings,glutes|lower_back|0|0.90|6-10|lower_back
back_extension|body_weight|c|lower_back,glutes|hamstrings|0.6|0.95|8-15|
standing_calf_raise|machine|i|calves||0|1.90|8-15|
seated_calf_raise|machine|i|calves||0|1.10|10-15|
leg_press_calf_raise|machine|i|calves||0|2.60|10-15|
cable_crunch|cable|i|abs||0|0.75|10-15|
hanging_leg_raise|body_weight|c|abs||0.35|0.52|8-15|
machine_crunch|machine|i|abs||0|0.75|10-15|
"""

LEGS: frozenset[str] = frozenset({"quads", "hamstrings", "glutes", "calves", "lower_back"})
PULL: frozenset[str] = frozenset(
    {"lats", "upper_back", "traps", "rear_delts", "biceps", "forearms"}
)


@dataclass(frozen=True)
class Lift:
    """One line of the list: the public part and what only the simulator needs."""

    exercise: SimExercise
    ratio: float
    reps_low: int
    reps_high: int
    regions: tuple[str, ...]

    @property
    def family(self) -> str:
        """Part of the week the lift is done in: push, pull or legs."""
        first = self.exercise.direct[0]
        return "legs" if first in LEGS else "pull" if first in PULL else "push"

    @property
    def can_fail_safely(self) -> bool:
        """Machines and isolation work, where lifters take sets to failure."""
        return self.exercise.equipment in ("machine", "cable") or not self.exercise.is_compound


def _names(cell: str) -> tuple[str, ...]:
    return tuple(name for name in cell.split(",") if name)


def _read_line(line: str) -> Lift:
    name, equipment, kind, direct, indirect, share, ratio, reps, regions = line.split("|")
    low, high = (int(bound) for bound in reps.split("-"))
    exercise = SimExercise(
        name, equipment, _names(direct), _names(indirect), float(share), kind == "c"
    )
    return Lift(exercise, float(ratio), low, high, _names(regions))


LIFTS: dict[str, Lift] = {
    lift.exercise.exercise_id: lift for lift in map(_read_line, _TABLE.strip().splitlines())
}

# Lifts that many lifters keep for years; one of each row is drawn as a lifter's usual lifts.
USUAL: tuple[tuple[str, ...], ...] = (
    ("bench_press",),
    ("back_squat", "front_squat"),
    ("romanian_deadlift", "deadlift"),
    ("overhead_press", "incline_bench_press"),
    ("barbell_row", "pull_up"),
)

# How many lifts a muscle of its own usually has in the programme at one time, at most.
SLOTS: dict[str, int] = dict.fromkeys(MUSCLES, 1) | {
    "chest": 2,
    "lats": 2,
    "quads": 2,
    "hamstrings": 2,
    "biceps": 2,
    "triceps": 2,
    "side_delts": 2,
}
