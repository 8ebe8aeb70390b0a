"""The unit of loads: as stated, else by plate arithmetic and by what one lift weighs over time.

Weights of evidence (natural log of how much likelier a load is in kilograms than in pounds) are
common practice, no published source: kilogram plates give steps of 2.5 and 1.25, dumbbells steps
of 2; pound plates give steps of 5, and whole pairs of the largest plate on a 45 lb bar give 135,
225, 315 and 405.
"""

import math
import statistics
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
LEAST_LIFTS = 2  # lifts that have to jump together at a change of unit
NEAR = 6  # loads of a lift compared on either side of a change
JUMP_DAYS = 31  # within which the jumps of all lifts have to lie
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
    return UnitFinding(_by_arithmetic([load for _, _, load in loads], book))


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


def _by_arithmetic(loads: list[float], book: Notebook) -> str:
    weight = weigh(loads)
    unit = "kg" if weight >= 0 else "lb"
    other = "lb" if unit == "kg" else "kg"
    sure = min(certainty(weight), 0.99)
    steps = _tell_steps(loads)
    told = f"by plate arithmetic {UNIT_WORDS[unit]}, certainty {sure:.0%} ({steps})"
    if sure >= CERTAIN:
        book.note(f"No unit is stated; {told}.")
        return unit
    return book.ask("units.load", "Are the loads in kg or lb?", (unit, other), told)


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
    """A day from which the numbers of several lifts are all 2.2 times smaller or larger."""

    day: date
    before: str
    after: str
    n_lifts: int
    ratio: float


def find_change(loads: list[Load]) -> UnitChange | None:
    """The day on which the unit changed, when the lifts jump together by the ratio of the units."""
    by_lift: dict[str, list[tuple[date, float]]] = defaultdict(list)
    for day, lift, load in sorted(loads):
        if load > 0:
            by_lift[lift].append((day, load))
    jumps = [jump for series in by_lift.values() if (jump := _largest_jump(series))]
    for sign in (-1, 1):
        days = sorted(day for day, ratio in jumps if ratio * sign > 0)
        alike = _agreeing(days, [s for s in by_lift.values() if len(s) > NEAR])
        if alike is None:
            continue
        ratio = math.exp(statistics.median(r for _, r in jumps if r * sign > 0))
        before, after = ("lb", "kg") if sign < 0 else ("kg", "lb")
        return UnitChange(alike, before, after, len(days), ratio)
    return None


def _largest_jump(series: list[tuple[date, float]]) -> tuple[date, float] | None:
    """Where the middle of the loads before and after differ most like the units do."""
    wanted = math.log(1 / KG_PER_LB)
    best: tuple[float, date, float] | None = None
    for at in range(2, len(series) - 1):
        if series[at][0] == series[at - 1][0]:
            continue
        before = [load for _, load in series[max(0, at - NEAR) : at]]
        after = [load for _, load in series[at : at + NEAR]]
        ratio = math.log(statistics.median(after) / statistics.median(before))
        miss = abs(abs(ratio) - wanted)
        step = abs(math.log(series[at][1] / series[at - 1][1]))
        if miss <= JUMP_WITHIN and (best is None or (miss - step) < best[0]):
            best = (miss - step, series[at][0], ratio)
    return None if best is None else (best[1], best[2])


def _agreeing(days: list[date], series: list[list[tuple[date, float]]]) -> date | None:
    """The day on which the lifts that were done on both sides jump; None when they do not agree."""
    if len(days) < LEAST_LIFTS:
        return None
    middle = days[len(days) // 2]
    spanning = [one for one in series if one[0][0] < middle <= one[-1][0]]
    close = [day for day in days if abs((day - middle).days) <= JUMP_DAYS]
    if len(close) < max(LEAST_LIFTS, 0.6 * len(spanning)):
        return None
    nearby = {day for one in spanning for day, _ in one if abs((day - middle).days) <= JUMP_DAYS}
    return min(
        sorted(nearby), key=lambda day: sum(_misplaced(one, day, middle) for one in spanning)
    )


def _misplaced(series: list[tuple[date, float]], day: date, middle: date) -> int:
    """Loads of one lift near the change that lie on the wrong side of it if it fell on ``day``."""
    before = statistics.median([load for on, load in series if on < middle][-3 * NEAR :])
    after = statistics.median([load for on, load in series if on >= middle][: 3 * NEAR])
    between = math.sqrt(before * after)
    near = [(on, load) for on, load in series if abs((on - middle).days) <= 2 * JUMP_DAYS]
    return sum((load > between) != ((before > after) == (on < day)) for on, load in near)


def _tell_change(change: UnitChange, stated: str | None, book: Notebook) -> UnitFinding:
    both = f"{change.before} until {change.day}, then {change.after}"
    told = (
        f"from {say_date(change.day)} on the loads of {change.n_lifts} lifts are "
        f"{change.ratio:.2f} of what they were; 1 kg is 2.20 lb"
    )
    if stated is None:
        book.note(
            f"Loads are in {UNIT_WORDS[change.before]}, from {say_date(change.day)} on in "
            f"{UNIT_WORDS[change.after]}: {told}."
        )
        return UnitFinding(change.before, ((change.day, change.after),))
    choices = (both, f"{stated} throughout")
    why = f"the label says {stated}, but {told}"
    answer = book.ask("units.changes", "Did the unit of the loads change?", choices, why)
    if answer == choices[0]:
        return UnitFinding(change.before, ((change.day, change.after),))
    return UnitFinding(stated)
