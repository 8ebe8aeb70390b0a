"""What a week is planned from: muscles, lifts, limits and wishes, as plain numbers.

All in weekly sets (direct 1, indirect 0.5), minutes, and per cent a month. Nothing here infers.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.models.arrays import Floats

PUSH, PULL = "push", "pull"


@dataclass(frozen=True)
class PlanMuscle:
    """One muscle that the week has to serve.

    Attributes
    ----------
    muscle_id : which.
    sets_grid : (n_grid,) weekly sets, rising from 0.
    progress : (n_draws, n_grid) expected progress at steady sets, % a month, a row a draw of the
        posterior (or of the published prior); draw n of all muscles belongs together.
    now : weekly sets of late.
    least, most : between these the week may go. Below ``least`` the muscle would not be held.
    floor : what was wished on top, as a priority that must not fall below today; 0 for none.
    weight : of its progress in the sum; 0 for a muscle that is only to be held.
    reference : weekly sets that the chosen ones should not clearly fall behind, draw by draw; None
        where nothing is held against them.
    """

    muscle_id: str
    sets_grid: Floats
    progress: Floats
    now: float
    least: float
    most: float
    floor: float = 0.0
    weight: float = 1.0
    reference: float | None = None


@dataclass(frozen=True)
class PlanLift:
    """One lift that the week may hold.

    Attributes
    ----------
    exercise_id : which.
    shares : what one set counts for each muscle: 1 direct, 0.5 indirect.
    minutes : of one set with the rest after it.
    sets_now : weekly sets of it now; 0 where it is not in the programme.
    usual_days : sessions of the week, from 0, on which it is done now.
    side : ``PUSH``, ``PULL`` or nothing, for the balance of the two.
    is_wanted : the lifter wants it kept.
    most : weekly sets at most, besides what its sessions hold; it may not be brought in at 0.
    """

    exercise_id: str
    shares: Mapping[str, float]
    minutes: float
    sets_now: float
    usual_days: tuple[int, ...] = ()
    side: str = ""
    is_wanted: bool = False
    most: float = float("inf")

    @property
    def is_used(self) -> bool:
        """It is in the programme now."""
        return self.sets_now > 0


@dataclass(frozen=True)
class PlanLimits:
    """What a week has room for.

    Attributes
    ----------
    sessions : a week.
    weekly_sets : of all lifts together, each set once.
    minutes : a session.
    session_muscle_sets : of one muscle in one session, indirect sets half.
    lift_session_sets, least_lift_sets : most and least sets of a lift in a session that holds it.
    lift_days : sessions a week that may hold the same lift.
    change_cost : progress that bringing in or leaving out one lift must at least gain, % a month.
    """

    sessions: int
    weekly_sets: float
    minutes: float
    session_muscle_sets: float = 10.0
    lift_session_sets: int = 6
    least_lift_sets: int = 2
    lift_days: int = 2
    change_cost: float = 0.0


@dataclass(frozen=True)
class WeekProblem:
    """Everything that one week is chosen from."""

    muscles: tuple[PlanMuscle, ...]
    lifts: tuple[PlanLift, ...]
    limits: PlanLimits
