"""On which session each lift of the week is done.

The sets of a week are given. Each lift is cut into as even parts as it needs sessions: as many as
it has now, more where a part would be over ``lift_session_sets``, fewer where one would be under
``least_lift_sets``. Every part goes where it costs least, those with a day of their own first and
the larger first; then parts are moved, or two exchanged, as long as that costs less. Costs: minutes
over the limit of a session, sets of a muscle over theirs, a lift twice in one session, a lift on a
day that is not its own, and, least of all, uneven sessions. What does not fit is told.

No programme: as one with the sets of the week, HiGHS left gaps of 40 to 80 % after 0.7 s, since
sessions may be exchanged at will. The exchange is quick, and the same on every machine.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats, Ints
from pipeline.models.planning.inputs import PlanLift, PlanLimits, WeekProblem

# Costs of a lift twice in one session, a minute or set too much, a lift on another day, and a
# session's minutes squared. Chosen by us, not measured: they put the wishes in this order.
TWICE, TOO_MUCH, NEW_DAY, UNEVEN = 1000.0, 20.0, 1.0, 1e-4
MOST_PASSES = 20
STILL = 1e-9


@dataclass(frozen=True)
class DayPlan:
    """Whole sets (n_lifts, n_sessions), and what does not fit: minutes and a muscle's sets."""

    sets: Ints
    minutes_over: float
    sets_over: float


def lay_days(problem: WeekProblem, weekly: Floats, shares: Floats) -> DayPlan:
    """Lay ``weekly`` (n_lifts,) whole sets into sessions; shares (n_lifts, n_muscles).

    Where something does not fit, every lift is cut once more and the better of the two is taken.
    """
    plan = _lay(problem, weekly, shares, more=0)
    if plan.minutes_over + plan.sets_over == 0.0:
        return plan
    finer = _lay(problem, weekly, shares, more=1)
    return min(plan, finer, key=lambda one: one.minutes_over + one.sets_over)


def _lay(problem: WeekProblem, weekly: Floats, shares: Floats, more: int) -> DayPlan:
    limits = problem.limits
    parts = [
        (int(lift), size)
        for lift in np.flatnonzero(weekly > 0)
        for size in cut_parts(problem.lifts[lift], int(weekly[lift]), limits, more)
    ]
    sets = np.zeros((len(problem.lifts), limits.sessions), dtype=np.int64)
    for (lift, size), day in zip(parts, _Layout(problem, parts, shares).find(), strict=True):
        sets[lift, day] += size
    minutes = np.array([one.minutes for one in problem.lifts]) @ sets
    return DayPlan(
        sets,
        float(np.maximum(minutes - limits.minutes, 0.0).sum()),
        float(np.maximum(shares.T @ sets - limits.session_muscle_sets, 0.0).sum()),
    )


def cut_parts(lift: PlanLift, sets: int, limits: PlanLimits, more: int = 0) -> list[int]:
    """Sets of each part of a lift, the larger first; ``more`` parts than now where they can be."""
    least = -(-sets // limits.lift_session_sets)
    most = max(sets // limits.least_lift_sets, 1)
    wanted = min(max(len(lift.usual_days), least) + more, max(most, least), limits.sessions)
    return [sets // wanted + (part < sets % wanted) for part in range(wanted)]


class _Layout:
    """Parts on sessions, and what that costs.

    Attributes by part and by session: ``_day`` (n_parts,), ``_load`` (n_sessions, 1 + n_muscles +
    n_lifts) minutes, muscle sets and times that a lift is done.
    """

    def __init__(self, problem: WeekProblem, parts: list[tuple[int, int]], shares: Floats) -> None:
        limits, lifts = problem.limits, [lift for lift, _ in parts]
        size = np.array([size for _, size in parts], dtype=float)
        minutes = size * np.array([problem.lifts[lift].minutes for lift in lifts])
        once = np.equal.outer(np.array(lifts, dtype=int), np.unique(np.array(lifts, dtype=int)))
        self._takes = np.column_stack(
            [minutes, size[:, None] * shares[np.array(lifts, dtype=int)], once]
        )
        n_once, n_muscles = once.shape[1], shares.shape[1]
        self._room = np.array(
            [limits.minutes, *[limits.session_muscle_sets] * n_muscles, *[1.0] * n_once]
        )
        self._price = np.array([*[TOO_MUCH] * (1 + n_muscles), *[TWICE] * n_once])
        self._moved = np.array(
            [
                [
                    NEW_DAY * (day not in problem.lifts[lift].usual_days)
                    for day in range(limits.sessions)
                ]
                for lift in lifts
            ]
        ).reshape(len(parts), limits.sessions)
        self._order = np.lexsort((-size, self._moved.min(axis=1))) if parts else np.array([], int)
        self._day = np.full(len(parts), -1)
        self._load = np.zeros((limits.sessions, self._room.size))

    def _cost(self, load: Floats) -> Floats:
        """(...,) cost of sessions with these loads (..., n_room)."""
        over = np.maximum(load - self._room, 0.0) @ self._price
        return over + UNEVEN * load[..., 0] ** 2

    def find(self) -> Ints:
        """(n_parts,) session of each part."""
        for part in self._order:
            rise = self._cost(self._load + self._takes[part]) - self._cost(self._load)
            self._put(int(part), int(np.argmin(rise + self._moved[part])))
        for _ in range(MOST_PASSES):
            moved = [self._move(int(part)) for part in self._order]
            exchanged = [self._exchange(int(part)) for part in self._order]
            if not any(moved) and not any(exchanged):
                break
        return self._day

    def _put(self, part: int, day: int) -> None:
        if self._day[part] >= 0:
            self._load[self._day[part]] -= self._takes[part]
        self._load[day] += self._takes[part]
        self._day[part] = day

    def _move(self, part: int) -> bool:
        """Move a part to the session where it costs least; whether it moved."""
        now, takes = self._day[part], self._takes[part]
        without = self._load.copy()
        without[now] -= takes
        rise = self._cost(without + takes) - self._cost(without) + self._moved[part]
        best = int(np.argmin(rise))
        if rise[best] > rise[now] - STILL:
            return False
        self._put(part, best)
        return True

    def _exchange(self, part: int) -> bool:
        """Exchange a part with one of another session where that costs less; whether it did."""
        mine, takes = self._day[part], self._takes[part]
        others = np.flatnonzero(self._day != mine)
        days = self._day[others]
        trade = self._takes[others] - takes
        now = self._cost(self._load)
        then = self._cost(self._load[mine] + trade) + self._cost(self._load[days] - trade)
        gain = now[mine] + now[days] - then
        gain += self._moved[part, mine] - self._moved[part, days]
        gain += self._moved[others, days] - self._moved[others, mine]
        if gain.size == 0 or gain.max() < STILL:
            return False
        other = int(others[np.argmax(gain)])
        day = int(self._day[other])
        self._put(other, int(mine))
        self._put(part, day)
        return True
