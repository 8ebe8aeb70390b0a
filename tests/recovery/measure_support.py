"""Do the words firm, fair and thin mean what they say? Findings of simulated careers against truth.

Each career is answered as a nightly refresh answers it, with a year kept back, and every finding
is held against what was planted: is it on the right side of what it is held against (zero; the
published average of weekly sets; no change, for a forecast), does its interval hold the truth, how
far off is it. Run ``python -m tests.recovery.measure_support 20`` for the table.

A sign is judged where the planted value is beyond a trifle (``planted.TRIFLES``). A deload effect
or sleep effect planted as nothing has no right sign: called fair or firm it counts as wrong.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.models.simulate import Career, simulate_career
from tests.recovery.bars import Bar, mean_of, measure_bar, run_alone
from tests.recovery.planted import TRIFLES, Planted
from tests.recovery.settled import settle_career

MODEL = "support"
KEPT_BACK = 52
WORDS = ("firm", "fair", "thin")
LEAST_FINDINGS = 200
FIRM_RIGHT = 0.95
LEAST_SUPPORTED = 0.15
# A year ahead is hardly ever told from no change: its share is told, without a bar of its own.
SIDE_RARELY_TAKEN = ("forecast",)
# The least share of truths inside the interval, by question: that of its model (METHODS a to f).
LEAST_HELD = {
    "lift_slope": 0.85,
    "muscle_slope": 0.85,
    "supported_sets": 0.82,
    "sets_trend": 0.82,
    "deload_effect": 0.85,
    "layoff_loss": 0.85,
    "signal_effect": 0.80,
    "forecast": 0.77,
}


@dataclass(frozen=True)
class Judged:
    """Findings of one question, (n,) arrays; nan in the estimate of a refusal.

    ``size`` is the planted value less what it is held against, ``found`` the same of the estimate.
    """

    word: np.ndarray
    size: np.ndarray
    found: np.ndarray
    is_held: np.ndarray

    def chosen(self, mask: np.ndarray) -> "Judged":
        """Part of them."""
        return Judged(self.word[mask], self.size[mask], self.found[mask], self.is_held[mask])


CareerJudged = dict[str, Judged]


def measure_career(seed: int, career: Career | None = None) -> CareerJudged:
    """All judged findings of one career, by question."""
    career = simulate_career(seed) if career is None else career
    settled = settle_career(career, KEPT_BACK)
    planted = Planted(career, settled)
    rows: dict[str, list[tuple[str, float, float, bool]]] = {}
    for row in settled.findings.iter_rows(named=True):
        if row["question"] not in LEAST_HELD:
            continue
        size, found, is_held = planted.judge(row)
        if np.isfinite(size):
            judged = (row["support"], size, found, bool(is_held))
            rows.setdefault(row["question"], []).append(judged)
    return {question: _as_arrays(found) for question, found in rows.items()}


def _as_arrays(rows: list[tuple[str, float, float, bool]]) -> Judged:
    word, size, found, is_held = zip(*rows, strict=True)
    return Judged(np.array(word), np.array(size), np.array(found), np.array(is_held))


def bars(scores: Sequence[CareerJudged]) -> list[Bar]:
    """All bars of support, by question and over all of them."""
    found: list[Bar] = []
    for question in LEAST_HELD:
        own = [one[question] for one in scores if question in one]
        if own:
            found += _bars_of(question, own)
    return found + _bars_over_all(scores)


def _bars_of(question: str, own: list[Judged]) -> list[Bar]:
    n = sum(one.word.size for one in own)
    found = [_bar(f"{question}: share answered", mean_of, _read(_answered, own), n=n)]
    for word in WORDS:
        if n_word := _count(own, word):
            is_asked = word == "firm" and n_word >= LEAST_FINDINGS
            found += [
                _bar(
                    f"{question}, {word}: right sign",
                    mean_of,
                    _read(_right(question, word), own),
                    n=n_word,
                    low=FIRM_RIGHT if is_asked else None,
                ),
                _bar(
                    f"{question}, {word}: interval holds",
                    mean_of,
                    _read(_held(word), own),
                    n=n_word,
                    low=LEAST_HELD[question] if is_asked else None,
                ),
                _bar(
                    f"{question}, {word}: median error",
                    _median,
                    _read(_error(word), own),
                    n=n_word,
                ),
            ]
    name = f"{question}: firm or fair among the larger half"
    low = None if question in SIDE_RARELY_TAKEN else LEAST_SUPPORTED
    return [*found, _bar(name, mean_of, _read(_supported(_median_size(own)), own), n=n, low=low)]


def _bars_over_all(scores: Sequence[CareerJudged]) -> list[Bar]:
    """Pooled over questions, errors in units of each question's median planted size."""
    sizes = {
        question: _median_size([one[question] for one in scores if question in one])
        for question in LEAST_HELD
        if any(question in one for one in scores)
    }

    def pool(figure: Callable[[str, Judged], np.ndarray]) -> Read:
        """A figure of all questions of each career."""
        parts = [[figure(q, one[q]) for q in sizes if q in one] for one in scores]
        return [np.concatenate(part) if part else np.array([]) for part in parts]

    found = [
        Bar(MODEL, f"findings called {word}", n, 0.0, len(scores), low=LEAST_FINDINGS)
        for word in WORDS
        for n in [sum(_count(list(one.values()), word) for one in scores)]
    ]

    def right_of(word: str) -> Read:
        return pool(lambda q, one: _right(q, word)(one))

    def error_of(word: str) -> Read:
        return pool(lambda q, one: _error(word)(one) / sizes[q])

    right = {word: right_of(word) for word in WORDS}
    error = {word: error_of(word) for word in WORDS}
    for word in WORDS:
        low = FIRM_RIGHT if word == "firm" else None
        found.append(_bar(f"{word}: right sign", mean_of, right[word], low=low))
        if word == "firm":
            held = pool(lambda q, one: _held("firm")(one))
            found.append(_bar("firm: interval holds", mean_of, held, low=0.85))
    for better, worse in (("firm", "fair"), ("fair", "thin")):
        of = f"{worse} less {better}"
        pairs = (
            ("wrong sign", _share_wrong, right),
            ("median error in planted sizes", _median, error),
        )
        for name, statistic, read in pairs:
            found.append(_difference(f"{of}: {name}", statistic, read[worse], read[better]))
    supported = pool(lambda q, one: _supported(sizes[q])(one))
    name = "firm or fair among the larger half"
    return [*found, _bar(name, mean_of, supported, low=LEAST_SUPPORTED)]


# A figure of each career's findings, read once: drawing careers anew only joins the arrays.
Read = list[np.ndarray]
Statistic = Callable[[np.ndarray], float]


def _read(figure: Callable[[Judged], np.ndarray], own: list[Judged]) -> Read:
    return [figure(one) for one in own]


def _bar(
    name: str, statistic: Statistic, read: Read, *, n: int | None = None, low: float | None = None
) -> Bar:
    def joined(some: Sequence[np.ndarray]) -> float:
        return statistic(np.concatenate(some))

    return measure_bar(MODEL, name, joined, read, n=n, low=low)


def _difference(name: str, statistic: Statistic, more: Read, less: Read) -> Bar:
    """The figure of ``more`` less that of ``less``, of the same careers: at least nothing."""

    def read(some: Sequence[tuple[np.ndarray, np.ndarray]]) -> float:
        first, second = zip(*some, strict=True)
        return statistic(np.concatenate(first)) - statistic(np.concatenate(second))

    return measure_bar(MODEL, name, read, list(zip(more, less, strict=True)), low=0.0)


def _answered(one: Judged) -> np.ndarray:
    return np.isfinite(one.found)


def _count(own: list[Judged], word: str) -> int:
    return sum(int(np.sum(one.word == word)) for one in own)


def _right(question: str, word: str) -> Callable[[Judged], np.ndarray]:
    """Whether signs are right: where something is planted, or called though nothing is."""

    def read(one: Judged) -> np.ndarray:
        judged = (np.abs(one.size) > TRIFLES[question]) | ((one.size == 0.0) & (word != "thin"))
        own = one.chosen((one.word == word) & judged)
        return np.sign(own.found) == np.sign(own.size)

    return read


def _held(word: str) -> Callable[[Judged], np.ndarray]:
    return lambda one: one.is_held[one.word == word]


def _error(word: str) -> Callable[[Judged], np.ndarray]:
    return lambda one: np.abs(one.found - one.size)[one.word == word]


def _supported(size: float) -> Callable[[Judged], np.ndarray]:
    return lambda one: np.isin(one.word[np.abs(one.size) >= size], ("firm", "fair"))


def _median_size(own: list[Judged]) -> float:
    """Median planted size, effects planted as nothing left out."""
    sizes = np.abs(np.concatenate([one.size for one in own]))
    return float(np.median(sizes[sizes > 0.0]))


def _share_wrong(right: np.ndarray) -> float:
    return 1.0 - mean_of(right)


def _median(values: np.ndarray) -> float:
    return float(np.median(values)) if values.size else float("nan")


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
