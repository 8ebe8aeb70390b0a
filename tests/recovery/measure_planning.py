"""Proposed weeks against the planted response; promised narrowing against that of a block trained.

``python -m tests.recovery.measure_planning 100 [first]``: about ten seconds a career. Progress is
that of the truth at steady sets, beside the mean sets of the last year and the published average of
every muscle, cut in one proportion to the muscle sets of the last year, or of the proposal. Every
second career also trains its last weeks by the block that is expected to narrow one muscle's best
sets most, and by one drawn at random among the feasible ones; both are fitted again. The weeks
before are the same to the letter.
"""

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.findings.next_phase.curves import published_sets
from pipeline.models.narrowing.blocks import BlockSearch
from pipeline.models.narrowing.plans import WEEKS, Plan, find_limits, list_plans
from pipeline.models.planning.learning import LearningBlock, find_block
from pipeline.models.planning.programme import WeekProgramme, plan_week
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.volume.response_curve import best_sets_at
from tests.recovery.bars import Bar, mean_of, measure_bar, run_alone
from tests.recovery.measure_narrowing import cut_case
from tests.recovery.planned import (
    PRIORS,
    Planned,
    fit_shipped,
    plan_from,
    train_on,
    true_progress,
    true_response,
)
from tests.recovery.volume_cases import VolumeCase, pool_cases

MODEL = "planning"
SECONDS = 60.0
CLEARLY_WORSE = 0.10


@dataclass(frozen=True)
class BlockScore:
    """Width of one muscle's best sets after a block, as a share of before: promised and found."""

    promised: float
    found: float


@dataclass(frozen=True)
class PlanningScore:
    """One career.

    proposal, usual, published, published_cut : true progress, % a month, of the proposal, the last
        year, the published average at the sets of the last year and at those of the proposal.
    expected : what the proposal said. is_clear : all wishes kept, or one named.
    best, random : blocks; None where not tried, or no block is feasible.
    """

    proposal: float
    usual: float
    published: float
    published_cut: float
    expected: float
    is_clear: bool
    is_feasible: bool
    best: BlockScore | None
    random: BlockScore | None


def measure_career(seed: int, career: Career | None = None) -> PlanningScore:
    """The scores of one career."""
    drawn = career or simulate_career(seed, CareerOptions())
    cases = pool_cases(drawn)
    planned = plan_from(drawn, cases, drawn.n_weeks)
    week = plan_week(planned.situation.problem, SECONDS)
    best, other = _blocks(seed, drawn, cases) if seed % 2 == 0 else (None, None)
    return PlanningScore(
        *_progress(seed, drawn, planned, week),
        is_clear=week.is_feasible or len(week.given_up) > 0,
        is_feasible=week.is_feasible,
        best=best,
        random=other,
    )


def _progress(
    seed: int, career: Career, planned: Planned, week: WeekProgramme
) -> tuple[float, float, float, float, float]:
    response, age = true_response(seed, CareerOptions())
    usual, names = planned.situation.last_year, list(week.muscle_sets)
    chosen = (
        week.muscle_sets,
        usual,
        published_sets(PRIORS, names, sum(usual.values())),
        published_sets(PRIORS, names, sum(week.muscle_sets.values())),
    )
    true = [true_progress(career, response, age, sets) for sets in chosen]
    expected = np.mean(
        [
            np.interp(week.muscle_sets[one.muscle_id], one.sets_grid, one.progress.mean(axis=0))
            for one in planned.situation.problem.muscles
        ]
    )
    return true[0], true[1], true[2], true[3], float(expected)


def _blocks(
    seed: int, career: Career, cases: Mapping[str, VolumeCase]
) -> tuple[BlockScore | None, BlockScore | None]:
    """The block chosen, and one drawn about the same muscle."""
    first = career.n_weeks - WEEKS
    short = {muscle: cut_case(case, first) for muscle, case in cases.items()}
    planned = plan_from(career, short, first)
    if planned.outlook is None:
        return None, None
    rng, outlook = np.random.default_rng(seed), planned.outlook
    problem = planned.situation.problem
    names = [one.muscle_id for one in problem.muscles if one.muscle_id in outlook.joint]
    search = BlockSearch(outlook, WEEKS)
    plans = {
        one: list_plans(find_limits(outlook.weekly_sets[one], outlook.is_used[one]))
        for one in names
    }
    best = find_block(search, plans, problem)
    if best is None:
        return None, None
    other = _draw_block(rng, search, best.muscle_id, plans[best.muscle_id], planned)
    return tuple(  # type: ignore[return-value]
        None if one is None else _train(seed, career, planned, one) for one in (best, other)
    )


def _draw_block(
    rng: np.random.Generator,
    search: BlockSearch,
    muscle: str,
    plans: Sequence[Plan],
    planned: Planned,
) -> LearningBlock | None:
    """A feasible block at random."""
    for place in rng.permutation(len(plans)):
        found = find_block(search, {muscle: [plans[place]]}, planned.situation.problem)
        if found is not None:
            return found
    return None


def _train(seed: int, career: Career, planned: Planned, block: LearningBlock) -> BlockScore | None:
    """Train the block, fit everything again, and compare the widths."""
    trained = train_on(seed, career, planned.situation, block.weeks, WEEKS)
    after = fit_shipped(pool_cases(trained)).answers.get(block.muscle_id)
    before = planned.pool.answers[block.muscle_id]
    if after is None or isinstance(after, Refusal) or isinstance(before, Refusal):
        return None
    age = planned.situation.age
    widths = [float(np.std(best_sets_at(one.draws, age))) for one in (after, before)]
    return BlockScore(block.ratio, widths[0] / widths[1])


def bars(scores: Sequence[PlanningScore]) -> list[Bar]:
    """Progress by the truth, then blocks."""
    return [
        _bar(
            "feasible, or a wish named", lambda s: mean_of([o.is_clear for o in s]), scores, low=1.0
        ),
        _bar("feasible", lambda s: mean_of([o.is_feasible for o in s]), scores),
        *[
            _bar(f"true progress, {name}, % a month", _mean(name), scores)
            for name in ("proposal", "usual", "published", "published_cut", "expected")
        ],
        *[
            _bar(f"gain over {name}, % a month", _gain(name), scores, low=0.0)
            for name in ("usual", "published", "published_cut")
        ],
        *[
            _bar(f"worse than {name} by over a tenth", _worse(name), scores, high=0.05)
            for name in ("published", "published_cut")
        ],
        *_block_bars(scores),
    ]


def _bar(name: str, statistic, scores: Sequence[PlanningScore], **asked: float) -> Bar:
    return measure_bar(MODEL, name, statistic, scores, **asked)


def _mean(name: str):
    return lambda some: mean_of([getattr(one, name) for one in some])


def _gain(name: str):
    return lambda some: mean_of([one.proposal - getattr(one, name) for one in some])


def _worse(name: str):
    def share(some: Sequence[PlanningScore]) -> float:
        than = np.array([getattr(one, name) for one in some])
        own = np.array([one.proposal for one in some])
        return mean_of(own < than - CLEARLY_WORSE * np.abs(than))

    return share


def _block_bars(scores: Sequence[PlanningScore]) -> list[Bar]:
    both = [one for one in scores if one.best is not None and one.random is not None]
    # Where the block drawn is the block chosen there is nothing to tell apart.
    apart = [one for one in both if one.best.promised != one.random.promised]

    def better(some: Sequence[PlanningScore]) -> float:
        return mean_of([one.best.found < one.random.found for one in some])

    def agree(some: Sequence[PlanningScore]) -> float:
        pairs = np.array(
            [(block.promised, block.found) for one in some for block in (one.best, one.random)]
        )
        return float(np.corrcoef(pairs.T)[0, 1]) if len(pairs) > 2 else float("nan")

    return [
        _bar("block narrows more than one at random", better, apart, low=0.65),
        _bar("correlation of promised and found width", agree, both, low=0.4),
        _bar("width promised", lambda s: mean_of([o.best.promised for o in s]), both),
        _bar("width found", lambda s: mean_of([o.best.found for o in s]), both),
        _bar("width found, random block", lambda s: mean_of([o.random.found for o in s]), both),
    ]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
