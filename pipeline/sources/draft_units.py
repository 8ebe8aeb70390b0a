"""The unit of loads: as stated, else by plate arithmetic and by what one lift weighs over time.

Weights of evidence (natural log of how much likelier a load is in kilograms than in pounds) are
common practice, no published source: kilogram plates give steps of 2.5 and 1.25, dumbbells steps
of 2; pound plates give steps of 5, and whole pairs of the largest plate on a 45 lb bar give 135,
225, 315 and 405.
"""

import math
import statistics
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from pipeline.core.calendar import say_date
from pipeline.core.units import KG_PER_LB
from pipeline.sources.draft_cells import UNIT_IN_CELL
from pipeline.sources.draft_records import Notebook

UNIT_WORDS = {"kg": "kilograms", "lb": "pounds"}
CERTAIN = 0.95
PLATE_PAIRS = frozenset({95.0, 135.0, 185.0, 225.0, 275.0, 315.0, 365.0, 405.0, 495.0})
MAX_WEIGHT = 12.0
OFTEN = 10  # a load that stands this often counts twice: repeats say little more
LOG_RATIO = math.log(1 / KG_PER_LB)
LEAST_LIFTS = 2  # lifts that have to jump together at a change of unit
FOR_AGAINST = 2  # times as many as those that do not jump
CLEARLY = 2.0  # days of a lift by which the day of a change has to lead
NEAR = 4  # occasions of a lift compared on either side of a change
LONGEST_GAP_DAYS = 90  # a lift that rested longer says nothing of the day in between
NEARBY = 15  # training days around the likeliest one, among which the change is placed exactly
PLATES_COUNT = 0.5  # weight of plate arithmetic there: it tells an easy week from a change
JUMP_WITHIN = 0.2  # in natural log, around log 2.2046
Load = tuple[date, str, float]


@dataclass(frozen=True)
class UnitFinding:
    """Unit of the first day, and the days from which another holds."""

    unit: str
    changes: tuple[tuple[date, str], ...] = ()


def find_unit(
    loads: list[Load], stated: str | None, texts: Iterable[str], book: Notebook
) -> UnitFinding:
    """Unit of the loads of a file.

    Parameters
    ----------
    loads : day, exercise and number as written, in the order of the file.
    stated : unit in the label, or None.
    texts : cells in which a unit may stand beside the number.
    """
    change = find_change(loads)
    if stated is not None and change is None:
        book.note(f"Loads are in {UNIT_WORDS[stated]}: the label says so.")
        return UnitFinding(stated)
    if change is not None:
        return _tell_change(change, stated, book)
    in_cells = _units_in_cells(texts)
    if len(in_cells) == 1:
        unit = next(iter(in_cells))
        book.note(f"Loads are in {UNIT_WORDS[unit]}: {in_cells[unit]} cells say so.")
        return UnitFinding(unit)
    if in_cells:
        common = max(in_cells, key=lambda unit: in_cells[unit])
        other = "kg" if common == "lb" else "lb"
        why = f"{in_cells['kg']} cells say kg and {in_cells['lb']} say lb; each keeps its own unit"
        text = "In which unit are the loads that stand without one?"
        return UnitFinding(book.ask("units.load", text, (common, other), why))
    return UnitFinding(_by_arithmetic(loads, book))


def _units_in_cells(texts: Iterable[str]) -> Counter[str]:
    """How many cells carry each unit."""
    found = (match[1].lower()[0] for text in texts if (match := UNIT_IN_CELL.search(text)))
    return Counter("kg" if letter == "k" else "lb" for letter in found)


def weigh(loads: Iterable[float]) -> float:
    """Weight of evidence for kilograms over pounds; below zero for pounds.

    >>> weigh([62.5, 67.5, 102.5, 57.5]) > 3
    True
    >>> weigh([135.0, 185.0, 225.0, 135.0, 155.0, 205.0]) < -3
    True
    """
    total = 0.0
    for load, n in Counter(loads).items():
        total += _weigh_one(load) * (2.0 if n >= OFTEN else 1.0)
    return max(-MAX_WEIGHT, min(MAX_WEIGHT, total))


def _weigh_one(load: float) -> float:
    if load <= 0:
        return 0.0
    if load in PLATE_PAIRS:
        return -1.2
    if load % 5 == 0:
        return -0.4 if load > 250 else 0.05 if load % 10 == 0 and load <= 140 else -0.05
    if load % 2.5 == 0:
        return 1.2
    if load % 1.25 == 0 or (load % 2 == 0 and load <= 60):
        return 0.5
    return 0.0


def certainty(weight: float) -> float:
    """Probability of the likelier unit, from even odds."""
    return 1 / (1 + math.exp(-abs(weight)))


def _by_arithmetic(loads: list[Load], book: Notebook) -> str:
    numbers = [load for _, _, load in loads]
    weight = weigh(numbers)
    unit = "kg" if weight >= 0 else "lb"
    other = "lb" if unit == "kg" else "kg"
    sure = min(certainty(weight), 0.99)
    told = f"by plate arithmetic {UNIT_WORDS[unit]}, certainty {sure:.0%} ({_tell_steps(numbers)})"
    against = _years_in(other, loads)
    if against:
        told += f"; but {', '.join(map(str, against))} look like {UNIT_WORDS[other]}"
    elif sure >= CERTAIN:
        book.note(f"No unit is stated; {told}.")
        return unit
    return book.ask("units.load", "Are the loads in kg or lb?", (unit, other), told)


def _years_in(unit: str, loads: list[Load]) -> list[int]:
    """Years whose loads are surely in ``unit``."""
    by_year: dict[int, list[float]] = defaultdict(list)
    for day, _, load in loads:
        by_year[day.year].append(load)
    weights = {year: weigh(found) * (1 if unit == "kg" else -1) for year, found in by_year.items()}
    return [year for year, w in sorted(weights.items()) if w > 0 and certainty(w) >= CERTAIN]


def _tell_steps(loads: list[float]) -> str:
    halves = sum(load % 2.5 == 0 and load % 5 != 0 for load in loads)
    pairs = sum(load in PLATE_PAIRS for load in loads)
    middle = statistics.median(loads) if loads else 0.0
    return (
        f"of {len(loads)} loads {halves} in steps of 2.5 that are not of 5, {pairs} whole pairs of "
        f"45 lb plates, median {middle:g}"
    )


@dataclass(frozen=True)
class UnitChange:
    """A day from which the numbers of several lifts are all 2.2 times smaller or larger.

    ``or_days`` are other days that fit hardly worse.
    """

    day: date
    or_days: tuple[date, ...]
    before: str
    after: str
    n_lifts: int
    ratio: float


def find_change(loads: list[Load]) -> UnitChange | None:
    """The day on which the unit changed, when the lifts jump together by the ratio of the units.

    Compared are the heaviest loads of a day, a few occasions of each lift on either side: warm-ups
    and drops do not count, and no easy week is light enough to look like a change of unit.
    """
    series = _tops_by_lift(loads)
    days = sorted({day for one in series for day, _ in one})
    best = max((_judge(day, series) for day in days), key=lambda v: v.rank, default=None)
    if best is None or best.n_for < LEAST_LIFTS or best.n_for < FOR_AGAINST * best.n_against:
        return None
    before, after = ("lb", "kg") if best.sign < 0 else ("kg", "lb")
    at = days.index(best.day)
    near = days[max(0, at - NEARBY) : at + NEARBY + 1]
    costs = {day: sum(_misplaced(day, best, lift) for lift in series) for day in near}
    ranked = sorted(near, key=lambda day: (costs[day], day))
    rivals = [day for day in ranked[1:3] if costs[day] - costs[ranked[0]] < CLEARLY]
    return UnitChange(ranked[0], tuple(rivals), before, after, best.n_for, math.exp(best.ratio))


def _tops_by_lift(loads: list[Load]) -> list[list[tuple[date, float]]]:
    """For each lift its days with the natural log of the day's heaviest load, in order."""
    tops: dict[str, dict[date, float]] = defaultdict(dict)
    for day, lift, load in loads:
        if load > 0:
            tops[lift][day] = max(load, tops[lift].get(day, 0.0))
    return [sorted((day, math.log(load)) for day, load in one.items()) for one in tops.values()]


@dataclass(frozen=True)
class _Verdict:
    """How many lifts jump on one day, in which direction and by how much, and how many do not."""

    day: date
    sign: int
    n_for: int
    n_against: int
    ratio: float
    miss: float

    @property
    def rank(self) -> tuple[float, float]:
        return self.n_for - self.n_against, -self.miss


def _judge(day: date, series: list[list[tuple[date, float]]]) -> _Verdict:
    jumps = [jump for one in series if (jump := _jump_at(day, one)) is not None]
    sign = -1 if statistics.median(jumps or [0.0]) < 0 else 1
    misses = [abs(jump - sign * LOG_RATIO) for jump in jumps]
    agreeing = [jump for jump, miss in zip(jumps, misses, strict=True) if miss <= JUMP_WITHIN]
    return _Verdict(
        day=day,
        sign=sign,
        n_for=len(agreeing),
        n_against=len(jumps) - len(agreeing),
        ratio=statistics.median(agreeing) if agreeing else 0.0,
        miss=sum(misses),
    )


def _jump_at(day: date, series: list[tuple[date, float]]) -> float | None:
    """Log ratio of a lift's loads from ``day`` on to those before; None where a side is missing."""
    at = bisect_left(series, (day, -math.inf))
    before, after = series[max(0, at - NEAR) : at], series[at : at + NEAR]
    if not before or not after or (after[0][0] - before[-1][0]).days > LONGEST_GAP_DAYS:
        return None
    return statistics.median(x for _, x in after) - statistics.median(x for _, x in before)


def _misplaced(day: date, best: _Verdict, series: list[tuple[date, float]]) -> float:
    """Days near ``best`` whose load lies on the wrong side of a change on ``day``, or looks so.

    A load far from both sides, as in an easy week, tells nothing.
    """
    at = bisect_left(series, (best.day, -math.inf))
    before, after = series[max(0, at - 3 * NEAR) : at], series[at : at + 3 * NEAR]
    if not before or not after:
        return 0.0
    middles = [statistics.median(x for _, x in side) for side in (before, after)]
    cost = 0.0
    for on, x in before + after:
        is_lb = (on < day) == (best.sign < 0)
        claimed, other = (abs(x - middles[side]) for side in (int(on >= day), int(on < day)))
        cost += min(claimed, other) <= JUMP_WITHIN and other < claimed
        cost += PLATES_COUNT * _weigh_one(round(math.exp(x), 3)) * (1 if is_lb else -1)
    return cost


def _tell_change(change: UnitChange, stated: str | None, book: Notebook) -> UnitFinding:
    choices = {
        f"{change.after} from {day} on, {change.before} before": UnitFinding(
            change.before, ((day, change.after),)
        )
        for day in (change.day, *change.or_days)
    }
    told = (
        f"from {say_date(change.day)} on the loads of {change.n_lifts} lifts are "
        f"{change.ratio:.2f} of what they were; 1 kg is 2.20 lb"
    )
    if stated is None and not change.or_days:
        book.note(
            f"Loads are in {UNIT_WORDS[change.before]}, from {say_date(change.day)} on in "
            f"{UNIT_WORDS[change.after]}: {told}."
        )
        return choices[next(iter(choices))]
    if stated is not None:
        choices[f"{stated} throughout"] = UnitFinding(stated)
        told = f"the label says {stated}, but {told}"
    text = "When did the unit of the loads change?"
    return choices[book.ask("units.changes", text, [*choices], told)]
