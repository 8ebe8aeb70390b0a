"""The week of most expected progress within the limits.

Question: which whole sets of which lifts, on which sessions of the week, expect most progress of
all muscles together? In: ``WeekProblem``. Out: ``WeekProgramme``, sets by lift and session.

Method (own derivation): a mixed-integer linear programme for the sets of each lift a week
(``week``), an exchange for the sessions that hold them (``days``). Where the sessions cannot be
filled to the minute, the week is planned again with that many minutes less, ``MOST_TURNS`` times.

Every limit is a wish with a name. Where not all can be kept, the least weighted sum of what is
given up is found first (each wish by its own size, so that a tenth of one weighs as much as a tenth
of another); then progress is sought within that. Refuses nothing: an empty week always satisfies
limits that have been given up.

Solved by HiGHS to a gap of ``week.GAP``, or until so many seconds; then the best week found so far
is returned with the gap that is left.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats, Ints
from pipeline.models.planning.days import DayPlan, lay_days
from pipeline.models.planning.inputs import WeekProblem
from pipeline.models.planning.solver import Solved
from pipeline.models.planning.week import WeekModel
from pipeline.models.planning.wishes import tell_given_up

MOST_TURNS = 3
# Of one run of the solver: 30 muscles and 60 lifts take 0.03 to 0.5 s (``python -m tests.bench``
# measures a week of that size). Chosen by us.
SECONDS = 0.7


@dataclass(frozen=True)
class WeekProgramme:
    """The chosen week.

    Attributes
    ----------
    sets : (n_lifts, n_sessions) whole sets.
    muscle_sets : weekly sets by muscle.
    given_up : by wish, in its own unit (sets, minutes a week), what could not be kept.
    gap : share by which the best possible may still lie above this.
    """

    sets: Ints
    muscle_sets: Mapping[str, float]
    given_up: Mapping[str, float]
    gap: float

    @property
    def is_feasible(self) -> bool:
        """All wishes are kept."""
        return not self.given_up


def plan_week(problem: WeekProblem, seconds: float = SECONDS) -> WeekProgramme:
    """The best week; where the wishes conflict, the best one that gives up least of them."""
    spare, turn = 0.0, 0
    while True:
        model = WeekModel(problem, spare, seconds)
        solved, slack = _solve(model)
        laid = lay_days(problem, model.sets_of(solved), model.shares)
        turn += 1
        if laid.minutes_over < 1e-6 or turn > MOST_TURNS or slack.any():
            return _tell(problem, model, solved, slack, laid)
        spare += laid.minutes_over


def _solve(model: WeekModel) -> tuple[Solved, Floats]:
    """The week, and (n_wishes,) what of each wish is given up for it."""
    none = np.zeros(len(model.wishes))
    strict = model.seek_progress(none)
    if strict is not None:
        return strict, none
    relaxed = model.give_up_least()
    assert relaxed is not None  # an empty week gives up everything
    given_up = model.given_up_of(relaxed)
    # A hair more, or rounding would make the second run impossible.
    return model.seek_progress(given_up * (1.0 + 1e-6) + 1e-6) or relaxed, given_up


def _tell(
    problem: WeekProblem, model: WeekModel, solved: Solved, slack: Floats, laid: DayPlan
) -> WeekProgramme:
    weekly = laid.sets.sum(axis=1) @ model.shares
    given_up = tell_given_up(model.wishes, slack)
    # Minutes that the whole week was given beyond its limit are told once, as laid out.
    given_up.pop("minutes", None)
    if laid.minutes_over > 1e-6:
        given_up["minutes"] = laid.minutes_over
    if laid.sets_over > 1e-6:
        given_up["session_muscle_sets"] = laid.sets_over
    return WeekProgramme(
        laid.sets,
        {one.muscle_id: float(v) for one, v in zip(problem.muscles, weekly, strict=True)},
        given_up,
        solved.gap,
    )
