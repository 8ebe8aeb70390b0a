"""How many sets of which lifts a week: the first of the two programmes.

Unknown are whole sets x[l] of each lift, yes or no z[l], how far each wish is given up, how far
each lift's sets move, and the sets p[m, k] of a muscle on each straight piece of its expected
progress less its cost of falling short (``progress``). With v[m] = sum of shares times sets,

    maximise  sum of weight[m] slope[m, k] p[m, k] - change_cost (lifts left out + brought in)
              - MOVED_SET change_cost sum of |x[l] - sets now|
    v[m] = sum of p[m, k], each within its piece: steeper pieces fill first, the value being concave
    least[m], floor[m] <= v[m] <= most[m];  sum of x <= weekly_sets;  minutes of all sessions;
    pulling sets >= pushing sets;  wanted lifts in;  least_lift_sets z <= x <= most of a week z
"""

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.planning.inputs import PULL, PUSH, PlanMuscle, WeekProblem
from pipeline.models.planning.progress import concave_knots
from pipeline.models.planning.rows import Rows
from pipeline.models.planning.solver import Solved, solve_rows
from pipeline.models.planning.wishes import name_wishes

# Share by which the best possible may still be better when the solver stops: chosen by us; a closer
# one changed nothing (DEVELOPERS.md, on what falls short of the published average).
GAP = 0.02
# A set more or less of a lift, as a share of what bringing in a lift costs: among weeks that expect
# about as much, the one most like that of now. Programmes as in ``measure_planning``, of 100
# careers (seeds 74000 to 74099): 0.5 moved 29 sets of 9 lifts where 0.03 moved 48 of 15, at a
# planted progress 0.0008 (standard error 0.0007) % a month higher; of 40 (60000 to 60039) 0.0009
# (0.0013) lower.
MOVED_SET = 0.5


class WeekModel:
    """Where each unknown stands, and the rows that bind them.

    spare_minutes : minutes of the week that the sessions cannot be filled with.
    seconds : until which a run goes on when the gap is not reached.
    """

    def __init__(self, problem: WeekProblem, spare_minutes: float, seconds: float) -> None:
        self._problem, self._spare, self._seconds = problem, spare_minutes, seconds
        lifts, muscles = problem.lifts, problem.muscles
        self.wishes = name_wishes(problem)
        self._wish = {name: place for place, name in enumerate(self.wishes)}
        self.shares = np.array(
            [[one.shares.get(m.muscle_id, 0.0) for m in muscles] for one in lifts]
        ).reshape(len(lifts), len(muscles))
        self._n = len(lifts)
        self._y = 2 * self._n
        knots = [concave_knots(muscle) for muscle in muscles]
        self._piece = np.cumsum([0, *(len(sets) - 1 for sets, _ in knots)]) + self._y
        self._room = np.concatenate([np.diff(sets) for sets, _ in knots])
        self._gain = np.concatenate(
            [
                one.weight * np.diff(progress) / np.diff(sets)
                for one, (sets, progress) in zip(muscles, knots, strict=True)
            ]
        )
        self._s = self._y + self._room.size
        self._t = self._s + len(self.wishes)
        self._width = self._t + self._n
        self._rows = Rows(self._width)
        for lift in range(self._n):
            self._bind_lift(lift)
        for number, muscle in enumerate(muscles):
            self._bind_muscle(number, muscle)
        self._bind_week()

    def _slack(self, wish: str) -> int:
        return self._s + self._wish[wish]

    def _bind_lift(self, lift: int) -> None:
        one, x, z = self._problem.lifts[lift], lift, self._n + lift
        self._rows.add({x: 1.0, z: -self._most_sets(lift)}, high=0.0)
        self._rows.add({x: 1.0, z: -float(self._problem.limits.least_lift_sets)}, low=0.0)
        self._rows.add({x: 1.0, self._t + lift: -1.0}, high=one.sets_now)
        self._rows.add({x: 1.0, self._t + lift: 1.0}, low=one.sets_now)
        if one.is_wanted:
            self._rows.add({z: 1.0, self._slack(f"lift:{one.exercise_id}"): 1.0}, low=1.0)

    def _most_sets(self, lift: int) -> float:
        """Most weekly sets of a lift: its own, by its sessions, and by the muscles it trains."""
        limits, own = self._problem.limits, self._problem.lifts[lift].most
        if own == 0:
            return 0.0
        room = limits.lift_session_sets * min(limits.lift_days, limits.sessions)
        of_muscles = [
            self._most_of(muscle) / share
            for muscle, share in zip(self._problem.muscles, self.shares[lift], strict=True)
            if share
        ]
        return float(max(np.floor(min([own, room, *of_muscles])), limits.least_lift_sets))

    def _most_of(self, muscle: PlanMuscle) -> float:
        limits = self._problem.limits
        most = max(muscle.most, muscle.least, muscle.floor)
        return min(most, limits.sessions * limits.session_muscle_sets)

    def _bind_muscle(self, number: int, muscle: PlanMuscle) -> None:
        lifts = np.flatnonzero(self.shares[:, number])
        sets = {int(lift): float(self.shares[lift, number]) for lift in lifts}
        self._rows.add({**sets, self._slack(f"hold:{muscle.muscle_id}"): 1.0}, low=muscle.least)
        if muscle.floor > muscle.least:
            wish = self._slack(f"priority:{muscle.muscle_id}")
            self._rows.add({**sets, wish: 1.0}, low=muscle.floor)
        self._rows.add(sets, high=self._most_of(muscle))
        pieces = range(self._piece[number], self._piece[number + 1])
        self._rows.add({**sets, **dict.fromkeys(pieces, -1.0)}, 0.0, 0.0)

    def _bind_week(self) -> None:
        limits, lifts = self._problem.limits, self._problem.lifts
        every: dict[int, float] = dict.fromkeys(range(self._n), 1.0)
        self._rows.add({**every, self._slack("weekly_sets"): -1.0}, high=limits.weekly_sets)
        taken = {at: one.minutes for at, one in enumerate(lifts)}
        room = limits.minutes * limits.sessions - self._spare
        self._rows.add({**taken, self._slack("minutes"): -1.0}, high=room)
        sign = {PULL: 1.0, PUSH: -1.0}
        sides = {at: sign[one.side] for at, one in enumerate(lifts) if one.side}
        self._rows.add({**sides, self._slack("balance"): 1.0}, low=0.0)

    def seek_progress(self, most_given_up: Floats) -> Solved | None:
        """Most expected progress; ``most_given_up`` (n_wishes,) of each wish."""
        cost, limits = np.zeros(self._width), self._problem.limits
        cost[self._y : self._s] = -self._gain
        for lift, one in enumerate(self._problem.lifts):
            cost[self._n + lift] = limits.change_cost * (-1.0 if one.is_used else 1.0)
            cost[self._t + lift] = limits.change_cost * MOVED_SET
        return self._solve(cost, most_given_up)

    def give_up_least(self) -> Solved | None:
        """The least of all wishes together, each by its size."""
        cost = np.zeros(self._width)
        cost[self._s : self._t] = 1.0 / np.array(list(self.wishes.values()))
        return self._solve(cost, np.full(len(self.wishes), np.inf))

    def _solve(self, cost: Floats, most_given_up: Floats) -> Solved | None:
        low, high = np.zeros(self._width), np.ones(self._width)
        high[: self._n] = [self._most_sets(lift) for lift in range(self._n)]
        high[self._y : self._s] = self._room
        high[self._s : self._t], high[self._t :] = most_given_up, np.inf
        whole = np.arange(self._width) < self._y
        return solve_rows(self._rows, cost, low, high, whole, gap=GAP, seconds=self._seconds)

    def sets_of(self, solved: Solved) -> Floats:
        """(n_lifts,) whole sets."""
        return np.rint(solved.x[: self._n])

    def given_up_of(self, solved: Solved) -> Floats:
        """(n_wishes,) what is given up."""
        return np.maximum(solved.x[self._s : self._t], 0.0)
