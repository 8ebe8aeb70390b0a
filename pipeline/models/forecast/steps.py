"""Steps of a history: what was known when, and what came next, as rows for the forecast.

A step stands at one value of a history (its anchor: the last level) and looks ``years`` ahead. All
features are in logs, so that kilograms and indexes, strong and weak people go together; all but
the last three are zero where no time passes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pipeline.models.arrays import Bools, Floats, Ints

# What may move a level: growth straight in log time; a constant rate; slower growth of the strong;
# the person's own rate so far; a last value above or below those before it, or below the best.
FEATURES = ("log_time", "rate", "level", "own_rate", "above", "below", "under_best")
# Structured training before the first value where no training age is told: the published curve
# starts at the first week, competitors do not. An assumption; the rate of a group corrects it.
YEARS_BEFORE = 1.0
BEFORE = 3  # values before the anchor that it is compared with
MOST_STEP = 0.3  # log; further off is another kind of event than a good or bad day
OWN_RATE_YEARS2 = 1.0  # spread of dates (years squared) that halves a person's own rate


@dataclass(frozen=True)
class History:
    """Values of one person, in order.

    years : (n,) dates in years, in order. values : (n,) kg, or any measure above zero.
    training_age_years : structured training before the first value; None where not known.
    value_se : (n,) standard errors of log values where they are fitted levels; None for single
        tests and competitions, whose scatter is then taken from the group or the published.
    """

    years: Floats
    values: Floats
    training_age_years: float | None = None
    value_se: Floats | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be a history, with the value and the remedy."""
        years, values = np.asarray(self.years, float), np.asarray(self.values, float)
        if years.shape != values.shape or years.ndim != 1 or not years.size:
            raise ValueError(f"{years.shape} dates, {values.shape} values: give one date a value")
        if not np.all(np.isfinite(values) & (values > 0)):
            raise ValueError(f"value {values.min():g}, above 0 needed: leave failed tests out")
        if not np.all(np.diff(years) >= 0):
            raise ValueError("dates fall back: put the values in the order of their dates")
        object.__setattr__(self, "years", years)
        object.__setattr__(self, "values", values)
        if self.value_se is not None:
            object.__setattr__(self, "value_se", np.asarray(self.value_se, float))

    def until(self, place: int) -> "History":
        """The history as it stood at one of its values."""
        end = place + 1
        se = None if self.value_se is None else self.value_se[:end]
        return History(self.years[:end], self.values[:end], self.training_age_years, se)

    def age_at(self, place: int) -> float:
        """Training age at a value, by the stated one or ``YEARS_BEFORE``."""
        before = YEARS_BEFORE if self.training_age_years is None else self.training_age_years
        return max(before, 0.1) + float(self.years[place] - self.years[0])


@dataclass(frozen=True)
class Steps:
    """Steps of many people as arrays (m,).

    person : number of the person. years : how far ahead. anchor, target : values.
    features : (m, len(FEATURES)). traits : (m, 3) what the scatter may hang on.
    noise : standard error of the anchor in logs, nan for single tests.
    is_last : the history's last.
    centre : mean log anchor, every person counted once.
    """

    person: Ints
    years: Floats
    anchor: Floats
    target: Floats
    features: Floats
    traits: Floats
    noise: Floats
    is_last: Bools
    centre: float


def features_at(history: History, years: float, centre: float) -> Floats:
    """(len(FEATURES),) of a forecast from the last value; ``centre`` is the group's log level.

    Of fitted levels only growth with age and time: a level smoothed with what came after it would
    seem to tell its own future.
    """
    logs, t = np.log(history.values), history.years
    age = history.age_at(-1)
    growth = [np.log((age + years) / age), years]
    if history.value_se is not None:
        return np.array([*growth, *([0.0] * (len(FEATURES) - len(growth)))])
    earlier = logs[-1 - BEFORE : -1]
    gap = float(np.clip(logs[-1] - np.mean(earlier), -MOST_STEP, MOST_STEP)) if len(earlier) else 0
    off = t - t.mean()
    own = float(off @ (logs - logs.mean())) / (float(off @ off) + OWN_RATE_YEARS2)
    under = max(float(logs[-1] - logs.max()), -MOST_STEP)
    own_ahead = years * float(np.clip(own, -MOST_STEP, MOST_STEP))
    return np.array(
        [*growth, years * (logs[-1] - centre), own_ahead, max(gap, 0.0), min(gap, 0.0), under]
    )


def traits_at(history: History, years: float) -> Floats:
    """(3,) what the scatter may hang on: log of years ahead, of the own scatter, of the count.

    The own scatter is the mean absolute step between values, drawn toward a usual one of 4 %.
    """
    step = np.minimum(np.abs(np.diff(np.log(history.values))), MOST_STEP)
    scatter = (step.sum() + 0.04) / (step.size + 1.0)
    return np.array([np.log(years + 0.25), np.log(scatter / 0.04), np.log(history.values.size)])


def noise_at(history: History) -> float:
    """Standard error of the last value in logs; nan for single tests."""
    return float("nan") if history.value_se is None else float(history.value_se[-1])


def list_steps(
    people: Sequence[History], years_ahead: float | None, owner: Sequence[object] | None = None
) -> Steps:
    """All steps of all people: each value forecast from the last one ``years_ahead`` before it.

    ``years_ahead`` None: from the value before it, however far that lies back. ``owner``: whose
    each history is, where one person has several; None takes each for a person of its own.
    """
    owners = range(len(people)) if owner is None else owner
    numbers = {one: number for number, one in enumerate(dict.fromkeys(owners))}
    rows = [
        (numbers[one], person, start, end)
        for one, person in zip(owners, people, strict=True)
        for start, end in _pairs(person, years_ahead)
    ]
    known = [person.until(start) for _, person, start, _ in rows]
    ahead = [float(person.years[end] - person.years[start]) for _, person, start, end in rows]
    number = np.array([row[0] for row in rows], dtype=np.int64)
    anchor = np.array([person.values[start] for _, person, start, _ in rows])
    centre = float(np.average(np.log(anchor), weights=weigh_people(number))) if rows else 0.0
    parts = list(zip(known, ahead, strict=True))
    return Steps(
        person=number,
        years=np.array(ahead),
        anchor=anchor,
        target=np.array([person.values[end] for _, person, _, end in rows]),
        features=_stack([features_at(*part, centre) for part in parts], len(FEATURES)),
        traits=_stack([traits_at(*part) for part in parts], 3),
        noise=np.array([noise_at(one) for one in known]),
        is_last=np.array([end == person.years.size - 1 for _, person, _, end in rows], dtype=bool),
        centre=centre,
    )


def _pairs(person: History, years_ahead: float | None) -> Iterator[tuple[int, int]]:
    for end in range(1, person.years.size):
        start = end - 1
        if years_ahead is not None:
            reach = person.years[end] - years_ahead + 0.02  # a week's slack
            start = int(np.searchsorted(person.years, reach, side="right")) - 1
        if 0 <= start < end:
            yield start, end


def _stack(rows: list[Floats], width: int) -> Floats:
    return np.array(rows) if rows else np.zeros((0, width))


def weigh_people(person: ArrayLike) -> Floats:
    """(m,) weights that count every person once, however many steps there are."""
    number = np.asarray(person, dtype=np.int64)
    return 1.0 / np.bincount(number, minlength=int(number.max(initial=0)) + 1)[number]
