"""A simulated career as the planning of a phase takes it, its truth, and a block trained on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from unittest.mock import patch

import numpy as np
import polars as pl

from pipeline.core.dictionary import empty_frame
from pipeline.core.settings import default_settings
from pipeline.findings.next_phase.problem import Situation, make_situation, planned_muscles
from pipeline.findings.next_phase.wishes import read_wishes
from pipeline.findings.volume_record import prior_of
from pipeline.models.narrowing.blocks import Outlook, outlook_of
from pipeline.models.planning.programme import WeekProgramme
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.simulate import career as simulation
from pipeline.models.simulate.programme import Bouts
from pipeline.models.simulate.timeline import Timeline
from pipeline.models.simulate.traits import Response, Traits, draw_traits
from pipeline.models.volume.pool import VolumePool, fit_volume_pool
from pipeline.reference import load_priors
from tests.recovery.volume_cases import VolumeCase, pool_arguments
from tests.simulated_record import muscles_of, record_of, until

THRESHOLDS = default_settings().thresholds
PRIORS = load_priors()
IDLE = 0.15  # of the best sets: below, the simulator lets nothing grow
SETTLED_YEARS = 0.8


@dataclass(frozen=True)
class Planned:
    """What a lifter is planned from: the situation, the pooled fit, and its outlook."""

    situation: Situation
    pool: VolumePool
    outlook: Outlook | None


def fit_shipped(cases: Mapping[str, VolumeCase]) -> VolumePool:
    """All muscles under the shipped prior."""
    muscles, ages, shared = pool_arguments(cases)
    priors = {muscle: prior_of(PRIORS, muscle) for muscle in muscles}
    return fit_volume_pool(muscles, ages, priors=priors, **shared)


def plan_from(career: Career, cases: Mapping[str, VolumeCase], n_weeks: int) -> Planned:
    """Planning after the first ``n_weeks`` of a career; ``cases`` end there too.

    Phases that still go on are left out: a wish of the lifter's may cost progress, and what it is
    held against knows none.
    """
    told = until(record_of(career), career.start + timedelta(weeks=n_weeks))
    record = replace(told, events=told.events.filter(~pl.col("kind").is_in(["priority", "hold"])))
    muscle_ids = planned_muscles(record, muscles_of(career))
    wishes = read_wishes(record, muscle_ids, empty_frame("model_constraint"), THRESHOLDS)
    pool = fit_shipped(cases)
    situation = make_situation(record, wishes, muscle_ids, pool.answers, PRIORS, {}, THRESHOLDS)
    muscles, ages, _ = pool_arguments(cases)
    return Planned(situation, pool, outlook_of(pool, muscles, ages))


def true_response(seed: int, options: CareerOptions) -> tuple[Response, float]:
    """The planted response of a career, drawn again, and the training age at its end."""
    stream = np.random.SeedSequence(seed).spawn(1)[0]
    traits = draw_traits(np.random.default_rng(stream), options)
    return traits.response, float(traits.ages[-1])


def true_progress(
    career: Career, response: Response, age: float, sets: Mapping[str, float]
) -> float:
    """Planted progress at steady weekly sets, mean over these muscles, % a month."""
    found = []
    for muscle, weekly in sets.items():
        number = career.muscles.index(muscle)
        away = weekly / career.truth.best_sets[number, -1] - 1.0
        loss = (response.below if away < 0 else response.above) * away**2
        rate = response.growth[number] / (age + SETTLED_YEARS) * max(1.0 - loss, response.floor)
        found.append(0.0 if away < IDLE - 1.0 else 100.0 / 12.0 * rate)
    return float(np.mean(found))


def train_on(
    seed: int, career: Career, situation: Situation, levels: Sequence[WeekProgramme], n_weeks: int
) -> Career:
    """The career with its last ``n_weeks`` trained by these weeks, each as long as the others.

    What was logged before stays to the letter. Deloads and weeks off stay where they were.
    """
    first = career.n_weeks - n_weeks
    ids = [one.exercise_id for one in career.exercises]
    lifts = np.array([ids.index(one.exercise_id) for one in situation.problem.lifts])
    plan = simulation.plan_programme

    def planned(rng: np.random.Generator, traits: Traits, timeline: Timeline) -> Bouts:
        old = plan(rng, traits, timeline)
        weeks = np.arange(first, career.n_weeks)
        weeks = weeks[timeline.status[weeks] == "trained"]
        new = [
            _bouts_of(traits, lifts, _level_at(levels, week - first, n_weeks), week)
            for week in weeks
        ]
        return _join([_without(old, weeks), *new])

    with patch.object(simulation, "plan_programme", planned):
        other = simulate_career(seed, CareerOptions())
    return _splice(career, other, first)


def _level_at(levels: Sequence[WeekProgramme], week: int, n_weeks: int) -> WeekProgramme:
    return levels[week * len(levels) // n_weeks]


def _bouts_of(traits: Traits, lifts: np.ndarray, week: WeekProgramme, number: int) -> Bouts:
    rows, days = np.nonzero(week.sets)
    lift = lifts[rows]
    sets = week.sets[rows, days]
    middle = [(traits.lifts[one].reps_low + traits.lifts[one].reps_high) // 2 for one in lift]
    return Bouts(
        week=np.full(rows.size, number),
        slot=np.minimum(days, traits.habits.sessions_per_week - 1),
        lift=lift,
        n_sets=sets,
        n_full=sets,
        reps_target=np.array(middle, dtype=np.int64),
        reserve_target=np.full(rows.size, 2.0),
    )


def _without(bouts: Bouts, weeks: np.ndarray) -> Bouts:
    stays = ~np.isin(bouts.week, weeks)
    return Bouts(**{name: value[stays] for name, value in vars(bouts).items()})


def _join(parts: Sequence[Bouts]) -> Bouts:
    names = vars(parts[0])
    joined = {name: np.concatenate([getattr(part, name) for part in parts]) for name in names}
    order = np.lexsort((joined["slot"], joined["week"]))
    return Bouts(**{name: value[order] for name, value in joined.items()})


def _splice(before: Career, after: Career, first: int) -> Career:
    """The first weeks of one career and the others of the other; truth is the other's."""
    sets = {}
    for name, value in vars(before.sets).items():
        other = getattr(after.sets, name)
        sets[name] = np.concatenate(
            [value[before.sets.week < first], other[after.sets.week >= first]]
        )
    last = before.sets.session[before.sets.week < first].max()
    late = sets["week"] >= first
    sets["session"] = np.where(late, sets["session"] + last + 1, sets["session"])
    sets["cluster"] = np.where(
        late & (sets["cluster"] >= 0), sets["cluster"] + 10**6, sets["cluster"]
    )
    return replace(after, sets=replace(before.sets, **sets))
