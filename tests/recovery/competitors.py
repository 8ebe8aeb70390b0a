"""Invented competitors: totals of irregular competitions, for the forecast of people never seen.

Log-time growth at a rate of the person's own (some fall), years of training before the first
competition, a wandering course with heavy tails, days of 2 % and bad days far below them (a lift
bombed out), changes of equipment or body weight that lift or lower all totals, gaps from a month to
years, drop-out more likely after a bad day. Every number is an assumption; the error of "no change"
comes out near 6 % of the total, as in public results (METHODS f: 30.6 kg).
"""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from pipeline.models.forecast.steps import History


@dataclass(frozen=True)
class Habit:
    """What the population does: growth per e-fold of years (log), fall per year (log), size of
    day-to-day scatter against the usual, share of bad days."""

    growth: float = 0.045
    fall: float = 0.0
    scatter: float = 1.0
    bad_days: float = 0.10


# The population as assumed, and three that break what a forecast might assume of it.
POPULATIONS: dict[str, Habit] = {
    "log-time growth": Habit(),
    "no growth at all": Habit(growth=0.0),
    "strong decline": Habit(growth=0.0, fall=0.03),
    "half the scatter": Habit(scatter=0.5),
    "a quarter bad days": Habit(bad_days=0.25),
}


def invent_people(seed: int, n: int, habit: Habit) -> list[History]:
    """``n`` competitors with at least two totals each."""
    rng = np.random.default_rng(seed)
    people: list[History] = []
    while len(people) < n:
        years, totals = _compete(rng, habit)
        if len(years) > 1:
            people.append(History(np.array(years), np.array(totals)))
    return people


def _compete(rng: Generator, habit: Habit) -> tuple[list[float], list[float]]:
    level, before = rng.normal(np.log(450.0), 0.28), rng.gamma(2.0, 1.0) + 0.2
    rate = habit.growth * np.exp(rng.normal(0.0, 0.8)) * rng.choice([1.0, 1.0, 1.0, -0.3])
    day_sd = 0.022 * habit.scatter * np.exp(rng.normal(0.0, 0.5))
    most = 2 + rng.geometric(0.22)
    usual_gap = np.exp(rng.normal(np.log(0.6), 0.5))
    years: list[float] = []
    totals: list[float] = []
    now, wander, equipment = 0.0, 0.0, 0.0
    while len(years) < most and now < 18.0:
        is_bad = rng.random() < habit.bad_days
        grown = rate * np.log((before + now) / before) - habit.fall * now
        shown = level + grown + wander + equipment + rng.normal(0.0, day_sd)
        shown -= is_bad * habit.scatter * rng.exponential(0.08)
        years.append(now)
        totals.append(float(np.round(np.exp(shown) / 2.5) * 2.5))
        if is_bad and rng.random() < 0.25:
            break
        gap = max(0.08, usual_gap * np.exp(rng.normal(0.0, 0.6)))
        now += gap
        wander += 0.02 * np.sqrt(gap) * (rng.normal() + rng.standard_t(3))
        if rng.random() < 0.06:
            equipment = rng.choice([0.0, 0.10, -0.05, 0.15])
    return years, totals
