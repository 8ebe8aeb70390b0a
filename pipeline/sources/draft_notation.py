"""The order of numbers in set shorthand, and the decimal sign, with the evidence for them.

Each order is tried on every distinct cell. It earns what it reads, and loses for readings that no
one would train by: many sets, many repetitions, loads far from what the same exercise otherwise
carries. Orders that read every cell alike are one and the same answer.
"""

import math
import re
import statistics
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.core.errors import LiftstrataError
from pipeline.sources.draft_positions import STEP, tell_places
from pipeline.sources.draft_records import Notebook, Readers, SetLike

ORDERS = (
    "sets x reps @ load; load x reps",
    "sets x reps @ load; sets x reps",
    "load x reps x sets; load x reps",
    "load sets x reps; load x reps x sets; load x reps",
    "load x sets x reps; load x reps",
    "sets x reps x load; sets x reps",
    "load x reps",
    "reps x load",
    "reps x load x sets; reps x load",
    "load x reps @ rpe; load x reps",
    "reps @ load",
    "load reps; load x reps",
    "load reps sets; load reps",
    "load sets reps; load reps",
    "sets reps load",
    "sets x reps load; sets x reps",
    "reps load",
    "sets x load x reps; load x reps",
    "hands x load x reps; load x reps",
    "load / reps / sets; load / reps",
    "load / sets / reps; load / reps",
    "sets / reps / load; sets / reps",
    "load / reps",
    "reps / load",
    "sets x reps @ load; reps @ load",
    "sets x reps @ load; sets reps @ load",
    "reps",
)
FORMS = tuple(dict.fromkeys(form for order in ORDERS for form in order.split("; ")))
MOST_ADDED = 2  # further orders added for cells that the best one does not read
WORTH = 0.5  # score of a cell read, below which a further order explains nothing
MAX_TEXTS = 250  # distinct cells tried
MOST_ASKED = 3  # other orders offered in a question
CLEARLY = 0.1  # lead for each cell read differently, below which two orders are a question
UNUSED = 0.05  # cost for each cell of an order with a sign that no cell has
USUAL_SETS = 6
USUAL_REPS = 20
EVEN = 0.6  # share of the repetitions of the set before; less than this is uncommon at one load
FAR = math.log(3)  # a load three times off what the exercise carries speaks against a reading
_NO_SIGN = re.compile(r"[a-z]{3,} [a-z]{3,}")  # "load reps" in an order
_SIDE_BY_SIDE = re.compile(r"\d\s*(?:kgs?|lbs?)?\s+\d")
_TRIPLE = re.compile(r"\d\s*(?:kgs?|lbs?)?\s*[x×*][^,;>+/@]*[x×*]", re.IGNORECASE)
_THREE_SLASHED = re.compile(r"\d\s*(?:kgs?|lbs?)?\s*/\s*\d+\s*/\s*\d")
_LISTED_AT = re.compile(r"\d +\d+ +\d+ +(?:@|at\b)", re.IGNORECASE)
_COMMA_NUMBER = re.compile(r"(?<![\d.,])\d+,\d{1,2}(?=\s*(?:[x×*@;/]|kg|lb|$)|\s+\d+/)")
Cell = tuple[str, str]  # exercise, shorthand text


@dataclass(frozen=True)
class NotationFinding:
    """Order and decimal sign, and what the cells say when read so."""

    order: str
    decimal: str
    loads: dict[str, tuple[tuple[float, str | None], ...]]
    has_warmups: bool


@dataclass(frozen=True)
class _Trial:
    order: str
    decimal: str
    read: dict[Cell, tuple[SetLike, ...]]
    score: float


def find_notation(
    cells: Sequence[Cell], decimals: Sequence[str], readers: Readers, book: Notebook
) -> NotationFinding:
    """Order of numbers in the cells of a file; asked about where the cells do not settle it.

    Parameters
    ----------
    cells : exercise and text of each cell.
    decimals : decimal signs that are possible, the likelier one first.
    """
    counts = Counter(cells)
    some = dict(counts.most_common(MAX_TEXTS))
    trials = [_try_order(order, sign, some, readers) for sign in decimals for order in ORDERS]
    trials.sort(key=lambda trial: trial.score, reverse=True)
    best = trials[0]
    n = sum(some.values())
    rivals = _distinct([trial for trial in trials[1:] if _is_rival(best, trial, some)])
    best, unsure = _extend(best, some, readers)
    rivals = [_extend(rival, some, readers)[0] for rival in rivals[:MOST_ASKED]] or unsure
    n_read = sum(some[cell] for cell in best.read)
    book.note(
        f"Shorthand is read as '{best.order}': {n_read} of {n} cells are understood; "
        f"{_tell_example(best)}."
    )
    places = tell_places(_count_texts(some))
    if places is not None:
        book.note(places)
    _tell_unread(best, some, book)
    if rivals and best.read:
        best = _ask_order(best, rivals, book, some, readers, places)
    return NotationFinding(best.order, best.decimal, _loads(best), _has_warmups(best))


def _try_order(order: str, decimal: str, cells: dict[Cell, int], readers: Readers) -> _Trial:
    read: dict[Cell, tuple[SetLike, ...]] = {}
    for cell in cells:
        try:
            read[cell] = tuple(readers.parse_sets(cell[1], order, decimal))
        except LiftstrataError:
            continue
    usual = _usual_loads(read)
    score = sum(cells[cell] * (1 - _oddness(cell, sets, usual)) for cell, sets in read.items())
    return _Trial(order, decimal, read, score - UNUSED * _n_unused(order, cells) * len(cells))


def _extend(trial: _Trial, cells: dict[Cell, int], readers: Readers) -> tuple[_Trial, list[_Trial]]:
    """The trial with further orders for cells that it does not read, and rivals of those."""
    rivals: list[_Trial] = []
    for _ in range(MOST_ADDED):
        stated = trial.order.split("; ")
        longer = [
            _try_order(f"{trial.order}; {form}", trial.decimal, cells, readers)
            for form in FORMS
            if form not in stated and len(trial.read) < len(cells)
        ]
        longer.sort(key=lambda one: one.score, reverse=True)
        n_new = sum(cells[cell] for cell in longer[0].read.keys() - trial.read) if longer else 0
        if not n_new or longer[0].score - trial.score < WORTH * n_new:
            break
        trial = longer[0]
        rivals += [other for other in longer[1:] if _is_rival(trial, other, cells)]
    return trial, _distinct(rivals)


def _distinct(trials: list[_Trial]) -> list[_Trial]:
    """One trial for each way in which the cells are read."""
    found: list[_Trial] = []
    for trial in trials:
        if all(trial.read != other.read for other in found):
            found.append(trial)
    return found


def _n_unused(order: str, cells: dict[Cell, int]) -> int:
    """Signs of an order that no cell has: a plainer order says the same."""
    texts = [text for _, text in cells]
    unused = sum(sign in order and not any(sign in text for text in texts) for sign in "@/")
    has_pairs = bool(_NO_SIGN.search(order))
    unused += has_pairs and not any(_SIDE_BY_SIDE.search(text) for text in texts)
    # who lists three sets so does not write sets and repetitions side by side
    unused += "sets reps @" in order and any(_LISTED_AT.search(text) for text in texts)
    has_three = any(_THREE_SLASHED.search(text) for text in texts)
    unused += order.split("; ")[0].count("/") > 1 and not has_three
    has_triple = any(_TRIPLE.search(text) for text in texts)
    return unused + (order.count(" x ") > order.count(";") + 1 and not has_triple)


def _count_texts(cells: dict[Cell, int]) -> Counter[str]:
    counts: Counter[str] = Counter()
    for (_, text), count in cells.items():
        counts[text] += count
    return counts


def _is_rival(best: _Trial, other: _Trial, cells: dict[Cell, int]) -> bool:
    """The other order reads some cells differently, and hardly less plausibly."""
    both = best.read.keys() & other.read.keys()
    n_other = sum(cells[cell] for cell in both if best.read[cell] != other.read[cell])
    return n_other > 0 and best.score - other.score < CLEARLY * n_other


def _usual_loads(read: dict[Cell, tuple[SetLike, ...]]) -> dict[str, float]:
    """Natural log of the middle load of each exercise, over distinct cells."""
    loads: dict[str, list[float]] = defaultdict(list)
    for (exercise, _), sets in read.items():
        loads[exercise] += [math.log(one.load) for one in sets if one.load]
    return {exercise: statistics.median(found) for exercise, found in loads.items() if found}


def _oddness(cell: Cell, sets: tuple[SetLike, ...], usual: dict[str, float]) -> float:
    """From 0 (ordinary) to 1 (nobody trains so)."""
    straight = sum(one.segment_no == 1 for one in sets)
    reps = max((one.reps for one in sets if one.reps is not None), default=0)
    odd = 0.15 * max(0, straight - USUAL_SETS) + 0.05 * max(0, reps - USUAL_REPS)
    odd += 0.08 * (straight > 1 and reps < straight)
    heavy = [math.log(one.load) for one in sets if one.load and one.segment_no == 1]
    if heavy and abs(max(heavy) - usual.get(cell[0], max(heavy))) > FAR:
        odd += 0.3
    if any(one.load is not None and 0 < one.load <= 5 and one.load % 1 == 0 for one in sets):
        odd += 0.2  # rather a number of sets
    if any(one.load is not None and one.load % STEP for one in sets if one.unit is None):
        odd += 0.05  # too little to decide alone: some dumbbells do not go up in such steps
    return min(1.0, odd + 0.12 * _is_uneven(sets))


def _is_uneven(sets: tuple[SetLike, ...]) -> bool:
    """Repetitions jump between two sets of one load: one of them may be a number of sets."""
    straight = [one for one in sets if one.segment_no == 1 and not one.is_warmup]
    counts = [
        sorted((a.reps, b.reps))
        for a, b in pairwise(straight)
        if a.load == b.load and a.reps is not None and b.reps is not None
    ]
    return any(fewer < EVEN * more for fewer, more in counts)


def _ask_order(
    best: _Trial,
    rivals: list[_Trial],
    book: Notebook,
    cells: dict[Cell, int],
    readers: Readers,
    places: str | None,
) -> _Trial:
    """The order answered, among those that read some cell differently."""
    distinct = _distinct(rivals)
    text, told = _first_difference(best, distinct[0])
    told = f"{told}. {places.rstrip('.')}" if places is not None else told
    choices = [trial.order for trial in (best, *distinct[:MOST_ASKED])]
    order = book.ask("notation.order", f"How is {text!r} meant?", choices, told, is_free=True)
    return best if order == best.order else _try_order(order, best.decimal, cells, readers)


def _first_difference(one: _Trial, other: _Trial) -> tuple[str, str]:
    """A cell on which two orders differ, and both readings of it."""
    cell = next(c for c in [*one.read, *other.read] if one.read.get(c) != other.read.get(c))
    readings = [f"'{t.order}' gives {_tell_sets(t.read.get(cell))}" for t in (one, other)]
    return cell[1], " and ".join(readings)


def _tell_sets(sets: Sequence[SetLike] | None) -> str:
    if not sets:
        return "nothing"
    loads = [f"{one.load:g}" if one.load is not None else "no load" for one in sets]
    return ", ".join(
        f"{load} x {one.reps if one.reps is not None else 'no count'}"
        for one, load in zip(sets[:4], loads, strict=False)
    ) + (f" and {len(sets) - 4} more sets" if len(sets) > 4 else "")


def _tell_example(best: _Trial) -> str:
    for (_, text), sets in best.read.items():
        if len(sets) > 1:
            return f"{text!r} is {_tell_sets(sets)}"
    return "each is a single set"


def _tell_unread(best: _Trial, cells: dict[Cell, int], book: Notebook) -> None:
    unread = [text for (exercise, text) in cells if (exercise, text) not in best.read]
    if unread:
        shown = ", ".join(repr(text[:40]) for text in unread[:3])
        book.note(f"Not understood, to be set aside with the reason: {shown}.")


def _loads(trial: _Trial) -> dict[str, tuple[tuple[float, str | None], ...]]:
    """Loads told by each text, with the unit written beside them."""
    return {
        text: tuple((one.load, one.unit) for one in sets if one.load)
        for (_, text), sets in trial.read.items()
    }


def _has_warmups(trial: _Trial) -> bool:
    return any(one.is_warmup for sets in trial.read.values() for one in sets)


def decimals_of_shorthand(texts: Sequence[str], separator: str) -> tuple[str, ...]:
    """Decimal signs to try, the likelier first: a comma only where some text may hold one."""
    if any(re.search(r"\d\.\d", text) for text in texts):
        return (".",)
    if any(_COMMA_NUMBER.search(text) for text in texts):
        return (",", ".") if separator != "," else (".", ",")
    return (".",)
