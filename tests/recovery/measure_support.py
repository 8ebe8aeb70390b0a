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
    found = [_share_answered(question, own)]
    least = LEAST_HELD[question]
    for word in WORDS:
        n = _count(own, word)
        if n:
            of = f"{question}, {word}"
            right = FIRM_RIGHT if word == "firm" and n >= LEAST_FINDINGS else None
            held = least if word == "firm" and n >= LEAST_FINDINGS else None
            found += [
                measure_bar(
                    MODEL, f"{of}: right sign", _mean(_right(question, word)), own, n=n, low=right
                ),
                measure_bar(MODEL, f"{of}: interval holds", _mean(_held(word)), own, n=n, low=held),
                measure_bar(MODEL, f"{of}: median error", _median(_error(word)), own, n=n),
            ]
    name = f"{question}: firm or fair among the larger half"
    n = sum(one.word.size for one in own)
    supported = _mean(_supported(_median_size(own)))
    low = None if question in SIDE_RARELY_TAKEN else LEAST_SUPPORTED
    return [*found, measure_bar(MODEL, name, supported, own, n=n, low=low)]


def _bars_over_all(scores: Sequence[CareerJudged]) -> list[Bar]:
    """Pooled over questions, errors in units of each question's median planted size."""
    sizes = {
        question: _median_size([one[question] for one in scores if question in one])
        for question in LEAST_HELD
        if any(question in one for one in scores)
    }
    pooled = [
        [(question, one[question], sizes[question]) for question in sizes if question in one]
        for one in scores
    ]
    found: list[Bar] = []
    for word in WORDS:
        n = sum(int(np.sum(one.word == word)) for parts in pooled for _, one, _ in parts)
        found.append(Bar(MODEL, f"findings called {word}", n, 0.0, len(scores), low=LEAST_FINDINGS))
    right = {word: _pool(lambda q, one, _, w=word: _right(q, w)(one)) for word in WORDS}
    held = {word: _pool(lambda q, one, _, w=word: _held(w)(one)) for word in WORDS}
    error = {word: _pool(lambda q, one, size, w=word: _error(w)(one) / size) for word in WORDS}
    supported = _pool(lambda q, one, size: _supported(size)(one))
    ask = [
        ("firm: right sign", lambda s: mean_of(right["firm"](s)), FIRM_RIGHT, None),
        ("firm: interval holds", lambda s: mean_of(held["firm"](s)), 0.85, None),
        ("fair: right sign", lambda s: mean_of(right["fair"](s)), None, None),
        ("thin: right sign", lambda s: mean_of(right["thin"](s)), None, None),
        *[
            (
                f"{worse} less {better}: {name}",
                lambda s, b=better, w=worse, f=figure: f(s, w) - f(s, b),
                0.0,
                None,
            )
            for better, worse in (("firm", "fair"), ("fair", "thin"))
            for name, figure in (
                ("wrong sign", lambda s, w: 1.0 - mean_of(right[w](s))),
                ("median error in planted sizes", lambda s, w: _median_of(error[w](s))),
            )
        ],
        (
            "firm or fair among the larger half",
            lambda s: mean_of(supported(s)),
            LEAST_SUPPORTED,
            None,
        ),
    ]
    return found + [
        measure_bar(MODEL, name, statistic, pooled, low=low, high=high)
        for name, statistic, low, high in ask
    ]


Pooled = list[tuple[str, Judged, float]]


def _pool(
    figure: Callable[[str, Judged, float], np.ndarray],
) -> Callable[[Sequence[Pooled]], np.ndarray]:
    def read(scores: Sequence[Pooled]) -> np.ndarray:
        parts = [figure(*part) for career in scores for part in career]
        return np.concatenate(parts) if parts else np.array([])

    return read


def _share_answered(question: str, own: list[Judged]) -> Bar:
    n = sum(one.word.size for one in own)
    answered = _mean(lambda one: np.isfinite(one.found))
    return measure_bar(MODEL, f"{question}: share answered", answered, own, n=n)


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


def _mean(read: Callable[[Judged], np.ndarray]) -> Callable[[Sequence[Judged]], float]:
    return lambda own: mean_of(np.concatenate([read(one) for one in own]))


def _median(read: Callable[[Judged], np.ndarray]) -> Callable[[Sequence[Judged]], float]:
    return lambda own: _median_of(np.concatenate([read(one) for one in own]))


def _median_of(values: np.ndarray) -> float:
    return float(np.median(values)) if values.size else float("nan")


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
