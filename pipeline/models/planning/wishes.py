"""The wishes of a week: what each is called, how large it is, and how far it had to be given up."""

from collections.abc import Mapping

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.planning.inputs import WeekProblem

KEPT = 1e-5  # what is given up below this, as a share of a wish's size, is rounding


def name_wishes(problem: WeekProblem) -> dict[str, float]:
    """Every wish of the week with its size in its own unit, by which giving it up is weighed."""
    limits = problem.limits
    found = {"weekly_sets": limits.weekly_sets, "minutes": limits.minutes * limits.sessions}
    found["balance"] = limits.weekly_sets
    for one in problem.muscles:
        found[f"hold:{one.muscle_id}"] = one.least
        if one.floor > one.least:
            found[f"priority:{one.muscle_id}"] = one.floor
    for lift in problem.lifts:
        if lift.is_wanted:
            found[f"lift:{lift.exercise_id}"] = 1.0
    return {name: max(size, 1.0) for name, size in found.items()}


def tell_given_up(wishes: Mapping[str, float], slack: Floats) -> dict[str, float]:
    """Wishes that are not kept, in their own unit, the one given up most of its size first.

    wishes : size of each. slack : (n_wishes,) how far each is missed, in the same order and unit.
    """
    sizes = np.array(list(wishes.values()))
    found = dict(zip(wishes, slack, strict=True))
    order = np.argsort(-slack / sizes, kind="stable")
    names = [list(wishes)[place] for place in order if slack[place] > KEPT * sizes[place]]
    return {name: float(found[name]) for name in names}
