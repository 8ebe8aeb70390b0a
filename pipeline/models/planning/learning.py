"""The block that would tell most about one muscle's best weekly sets, laid out as a week.

Question: which block, among those that the lifter's limits allow, is expected to narrow the
interval of the muscle's best sets most? In: the outlook's search, the plans to be tried, the week's
problem. Out: the best plan that is feasible with its weeks and its expected width.

Each plan's levels are asked of the muscle in the same programme that plans for progress: between
``SLACK`` sets below and above the level, everything else as it is. Plans are tried in order of the
width expected with the other muscles going on as usual; the first whose levels are all feasible is
asked again with what the other muscles do in it. Own derivation.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.narrowing.blocks import BlockSearch, PlanValue
from pipeline.models.narrowing.plans import Plan, ramp_sets
from pipeline.models.planning.inputs import WeekProblem
from pipeline.models.planning.programme import SECONDS, WeekProgramme, plan_week

SLACK = 0.5


@dataclass(frozen=True)
class LearningBlock:
    """A feasible block.

    Attributes
    ----------
    muscle_id : the muscle whose best sets it is about.
    plan : the levels it holds; each has its week in ``weeks``.
    ratio : expected width of the interval after it, as a share of today's, all muscles trained as
        its weeks say.
    """

    muscle_id: str
    plan: Plan
    weeks: tuple[WeekProgramme, ...]
    ratio: float

    @property
    def narrows(self) -> bool:
        """Whether it takes enough off the interval to be recommended."""
        return PlanValue(self.plan, self.ratio).narrows


def find_block(
    search: BlockSearch,
    plans: Mapping[str, Sequence[Plan]],
    problem: WeekProblem,
    seconds: float = SECONDS,
) -> LearningBlock | None:
    """The feasible block that narrows most; None where no plan is feasible.

    plans : by muscle that may be asked about.
    """
    every = np.ones(search.n_weeks, dtype=bool)
    ranked = sorted(
        (
            (search.ratio(one, {one: (plan, every)}), one, plan)
            for one in plans
            for plan in plans[one]
        ),
        key=lambda found: (found[0], found[1], found[2].levels),
    )
    for _, muscle, plan in ranked:
        weeks = lay_plan(problem, muscle, plan, seconds)
        if weeks is not None:
            others = {
                one: (Plan(sets, ()), every)
                for one, sets in train_weeks(problem, weeks, search.n_weeks).items()
                if one in search.muscles
            }
            ratio = search.ratio(muscle, {**others, muscle: (plan, every)})
            return LearningBlock(muscle, plan, weeks, ratio)
    return None


def lay_plan(
    problem: WeekProblem, muscle: str, plan: Plan, seconds: float = SECONDS
) -> tuple[WeekProgramme, ...] | None:
    """A week for each level of a plan; None where one of them breaks a wish."""
    weeks = []
    for level in plan.levels:
        week = plan_week(ask_level(problem, muscle, level), seconds)
        if not week.is_feasible:
            return None
        weeks.append(week)
    return tuple(weeks)


def ask_level(problem: WeekProblem, muscle: str, level: float) -> WeekProblem:
    """The problem with the weekly sets of one muscle asked for, whatever progress they expect."""
    muscles = tuple(
        replace(one, least=level - SLACK, most=level + SLACK, floor=0.0, weight=0.0)
        if one.muscle_id == muscle
        else one
        for one in problem.muscles
    )
    return replace(problem, muscles=muscles)


def train_weeks(
    problem: WeekProblem, weeks: Sequence[WeekProgramme], n_weeks: int
) -> dict[str, Floats]:
    """(n_weeks,) weekly sets by muscle, each level for as long as the others."""
    found: dict[str, Floats] = {}
    ends = np.linspace(0, n_weeks, len(weeks) + 1).astype(int)
    for muscle in problem.muscles:
        now, parts = max(muscle.now, 1.0), []
        for week, length in zip(weeks, np.diff(ends), strict=True):
            parts.append(ramp_sets(now, week.muscle_sets[muscle.muscle_id], int(length)))
            now = max(float(parts[-1][-1]), 1.0)
        found[muscle.muscle_id] = np.concatenate(parts)
    return found
