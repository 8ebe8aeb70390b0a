"""Who the invented lifter is: every number that stays the same for a whole career."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Floats

from .catalogue import LIFTS, USUAL, Lift
from .options import DELOAD_KINDS, TRENDS, CareerOptions
from .records import MUSCLES

# Weekly fractional sets at which growth is fastest in the middle of the population, at training
# age 5. Trained men: 12-20 sets (Baz-Valle 2022, read), fewer for muscles with much indirect work.
POPULATION_BEST_SETS: dict[str, float] = dict.fromkeys(MUSCLES, 12.0) | {
    "lats": 14.0,
    "upper_back": 14.0,
    "quads": 13.0,
    "traps": 8.0,
    "forearms": 9.0,
    "lower_back": 9.0,
    "abs": 9.0,
    "calves": 11.0,
}

# Spread about it between lifters, shared by all muscles and of each muscle by itself (assumption).
SHIFT_SD_SETS, MUSCLE_SD_SETS = 1.7, 1.7


@dataclass(frozen=True)
class Response:
    """Growth of one lifter: (muscles,) arrays and scalars.

    Growth per year at the best sets is `growth / (training age + 0.8)` (log): straight in log
    time as strength is (Steele 2023, read). Away from the best sets `x = sets / best - 1` it falls
    by `below * x**2` or `above * x**2`, not under `floor` times the fastest.
    """

    growth: Floats
    best_at_5: Floats
    trend_per_year: float
    below: float
    above: float
    floor: float
    diet_per_week: float


@dataclass(frozen=True)
class Acute:
    """What moves a day's strength: logs; per standard deviation, hour or session."""

    fatigue: float
    fatigue_keep: float
    deload_effect: float
    sleep_per_h: float
    stress: float
    week_sd: float
    session_sd: float
    bout_sd: float
    set_loss: float
    tuning: float


@dataclass(frozen=True)
class Habits:
    """How the lifter trains and writes: counts, shares and weeks from the start. `diet_sets` are
    the factors by which weekly sets change in a surplus and in a deficit; reserve is not written
    in `reserve_gap` (first week, end).
    """

    sessions_per_week: int
    deload_kind: str
    deload_every: int
    attendance: float
    volume: Floats
    failure_share: float
    drop_share: float
    reserve_written: float
    reserve_from_week: int
    swap_hazard: float
    diet_sets: tuple[float, float]
    reserve_gap: tuple[int, int]


@dataclass(frozen=True)
class Traits:
    """The whole lifter. `lifts` is the pool, `usual` the ids kept for years."""

    n_weeks: int
    start: date
    training_age: float
    body_weight_kg: float
    trend: str
    lifts: tuple[Lift, ...]
    usual: frozenset[str]
    response: Response
    acute: Acute
    habits: Habits

    @property
    def ages(self) -> Floats:
        """Training age in years at the start of every week, (weeks,)."""
        return self.training_age + np.arange(self.n_weeks) * 7 / 365.25

    @property
    def shares(self) -> Floats:
        """Set count of each lift for each muscle, (lifts, muscles): 1 direct, 0.5 indirect."""
        table = np.zeros((len(self.lifts), len(MUSCLES)))
        for row, lift in enumerate(self.lifts):
            for share, names in ((1.0, lift.exercise.direct), (0.5, lift.exercise.indirect)):
                table[row, [MUSCLES.index(name) for name in names]] = share
        return table


def pick(rng: Generator, chosen: bool | None, chance: float) -> bool:
    """A switch as chosen, else drawn; the draw is made either way so that streams stay alike."""
    drawn = bool(rng.random() < chance)
    return drawn if chosen is None else chosen


def draw_traits(rng: Generator, options: CareerOptions) -> Traits:
    """Draw a lifter; what the options or the script give is kept."""
    years = float(rng.uniform(8, 15))
    age = float(np.exp(rng.uniform(np.log(0.7), np.log(6))))
    monday = date(2008, 1, 7) + timedelta(weeks=int(rng.integers(0, 260)))
    weight = float(rng.normal(80, 9))
    trend = str(rng.choice(TRENDS))
    script = options.script
    if script is not None:
        monday = script.start - timedelta(days=script.start.weekday())
        weight = script.body_weight_kg or weight
    n_weeks = round((options.years or years) * 365.25 / 7)
    lifts, usual = _draw_pool(rng, options)
    return Traits(
        n_weeks=n_weeks,
        start=monday,
        training_age=age
        if options.training_age_at_start is None
        else options.training_age_at_start,
        body_weight_kg=weight,
        trend=options.tolerance_trend or trend,
        lifts=lifts,
        usual=usual,
        response=_draw_response(rng, options.tolerance_trend or trend),
        acute=_draw_acute(rng, options),
        habits=_draw_habits(rng, options, n_weeks),
    )


def _draw_response(rng: Generator, trend: str) -> Response:
    shift = rng.normal(0, SHIFT_SD_SETS)
    own = rng.normal(0, MUSCLE_SD_SETS, len(MUSCLES))
    centre = np.array([POPULATION_BEST_SETS[name] for name in MUSCLES])
    slope = rng.uniform(0.3, 0.6)
    middle = np.exp(rng.normal(np.log(0.26), 0.2))
    return Response(
        growth=middle * np.exp(rng.normal(0, 0.15, len(MUSCLES))),
        best_at_5=np.maximum(centre + shift + own, 4.0),
        trend_per_year={"rising": slope, "flat": 0.0, "falling": -slope}[trend],
        below=rng.uniform(1.2, 2.2),
        above=rng.uniform(0.9, 2.2),
        floor=rng.uniform(-1.0, -0.5),
        diet_per_week=rng.uniform(0.0003, 0.0009),
    )


def _draw_acute(rng: Generator, options: CareerOptions) -> Acute:
    size, sign, keep = rng.uniform(0.008, 0.025), rng.random(), rng.uniform(0.25, 0.5)
    fatigue = size if sign < 0.85 else -0.5 * size
    deload = rng.uniform(0.006, 0.020) if rng.random() < 0.75 else -rng.uniform(0.004, 0.015)
    sleep, stress = rng.uniform(0.005, 0.016), rng.uniform(0.004, 0.012)
    return Acute(
        fatigue=fatigue if pick(rng, options.has_fatigue, 0.7) else 0.0,
        fatigue_keep=keep,
        deload_effect=deload if pick(rng, options.has_deload_effect, 0.6) else 0.0,
        sleep_per_h=sleep if pick(rng, options.has_sleep_effect, 0.6) else 0.0,
        stress=stress if pick(rng, options.has_stress, 0.5) else 0.0,
        week_sd=rng.uniform(0.004, 0.009),
        session_sd=rng.uniform(0.008, 0.014),
        bout_sd=rng.uniform(0.015, 0.025),
        set_loss=rng.uniform(0.010, 0.020),
        tuning=rng.uniform(0.2, 0.7),
    )


def _draw_habits(rng: Generator, options: CareerOptions, n_weeks: int) -> Habits:
    """Volume is (muscles,) usual weekly sets; it need not lie near the lifter's own best."""
    sessions = int(rng.choice([3, 4, 5, 6], p=[0.2, 0.4, 0.25, 0.15]))
    sessions = options.sessions_per_week or sessions
    kind = str(rng.choice(DELOAD_KINDS, p=[0.55, 0.25, 0.1, 0.1]))
    written_from = float(rng.uniform(0.15, 0.6))
    if options.rir_recorded_from is not None:
        written_from = options.rir_recorded_from
    centre = np.array([POPULATION_BEST_SETS[name] for name in MUSCLES])
    level = rng.uniform(0.7, 1.15) * (0.7 + 0.075 * sessions)
    return Habits(
        sessions_per_week=sessions,
        deload_kind=options.deload_kind or kind,
        deload_every=int(rng.integers(5, 10)),
        attendance=rng.uniform(0.88, 0.98),
        volume=centre * level * np.exp(rng.normal(0, 0.2, len(MUSCLES))),
        failure_share=rng.uniform(0.05, 0.45),
        drop_share=rng.uniform(0.0, 0.25),
        reserve_written=rng.uniform(0.85, 1.0),
        reserve_from_week=round(written_from * n_weeks),
        swap_hazard=rng.uniform(0.15, 0.35),
        diet_sets=(float(rng.uniform(1.05, 1.25)), float(rng.uniform(0.65, 0.9))),
        reserve_gap=_draw_gap(rng, options, n_weeks),
    )


def _draw_gap(rng: Generator, options: CareerOptions, n_weeks: int) -> tuple[int, int]:
    """In two of five careers, half a year to two in which reserve was given up again; none where
    the options tell from when on it is written.
    """
    has_gap = rng.random() < 0.4
    first, length = int(rng.uniform(0.5, 0.85) * n_weeks), int(rng.integers(26, 105))
    return (first, first + length if has_gap and options.rir_recorded_from is None else first)


def _draw_pool(rng: Generator, options: CareerOptions) -> tuple[tuple[Lift, ...], frozenset[str]]:
    """The lifts of a career, 25 to 45 of the list, every muscle with at least one of its own."""
    usual = frozenset(str(rng.choice(row)) for row in USUAL)
    names = list(rng.permutation(list(LIFTS)))
    n_lifts = int(rng.integers(27, 43))
    script = options.script
    if script is not None and script.exercises is not None:
        return _scripted_pool(script.exercises), frozenset(script.usual)
    chosen = set(usual)
    for muscle in MUSCLES:
        own = [name for name in names if muscle in LIFTS[name].exercise.direct]
        chosen.update(own[: 2 if len(own) > 2 else 1])
    spare = [name for name in names if name not in chosen]
    chosen.update(spare[: max(0, n_lifts - len(chosen))])
    return tuple(lift for name, lift in LIFTS.items() if name in chosen), usual


def _scripted_pool(names: tuple[str, ...]) -> tuple[Lift, ...]:
    unknown = [name for name in names if name not in LIFTS]
    if unknown:
        raise ValueError(f"{', '.join(unknown)}: not among the {len(LIFTS)} simulated lifts")
    return tuple(LIFTS[name] for name in names)
