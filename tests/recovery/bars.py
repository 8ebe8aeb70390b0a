"""Figures over simulated careers, each with its standard error and the bar that it must reach.

A model's ``measure_<model>.py`` scores one career with ``measure_career(seed, career=None)`` and
turns the scores of many into bars with ``bars(scores)``; ``python -m tests.recovery`` runs them all
on the same careers, and ``run_alone`` one of them.
"""

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

# Set before any process starts: one thread each, since two processes share two cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

RESAMPLES = 400

T = TypeVar("T")


@dataclass(frozen=True)
class Bar:
    """One figure: its value, standard error over careers, how many there were, what it must reach.

    ``low`` and ``high`` are the least and the most allowed; a figure without either is told only.
    """

    model: str
    name: str
    value: float
    se: float
    n: int
    low: float | None = None
    high: float | None = None
    note: str = ""

    @property
    def is_met(self) -> bool | None:
        """Whether the value lies where it must (nan does not); None without a bar."""
        if self.low is None and self.high is None:
            return None
        above = self.low is None or self.value >= self.low
        below = self.high is None or self.value <= self.high
        return bool(np.isfinite(self.value) and above and below)

    @property
    def asked(self) -> str:
        """The bar in words."""
        if self.low is not None and self.high is not None:
            return f"{self.low:g} to {self.high:g}"
        if self.low is not None:
            return f"at least {self.low:g}"
        return f"at most {self.high:g}" if self.high is not None else ""

    @property
    def verdict(self) -> str:
        """met, NOT MET, or nothing."""
        return {True: "met", False: "NOT MET", None: ""}[self.is_met]

    def __str__(self) -> str:
        told = f"{self.name}: {self.value:.3f} (standard error {self.se:.3f}, n {self.n})"
        asked = f"; bar {self.asked}: {self.verdict}" if self.asked else ""
        return f"{self.model}: {told}{asked}{f' [{self.note}]' if self.note else ''}"


def measure_bar(
    model: str,
    name: str,
    statistic: Callable[[Sequence[T]], float],
    scores: Sequence[T],
    *,
    n: int | None = None,
    low: float | None = None,
    high: float | None = None,
    note: str = "",
) -> Bar:
    """A statistic of the scores of many careers, its standard error by drawing careers anew.

    ``statistic`` takes a sequence of one score a career and gives one number (nan when it cannot);
    whole careers are drawn with replacement (fixed seed), so that what they share stays together
    and a median or a ratio has its error too. ``n`` is the number of careers unless told.
    """
    rng = np.random.default_rng(20_141_103)
    drawn = []
    for _ in range(RESAMPLES if len(scores) > 1 else 0):
        chosen = rng.integers(0, len(scores), len(scores))
        drawn.append(statistic([scores[at] for at in chosen]))
    known = np.array([value for value in drawn if np.isfinite(value)])
    return Bar(
        model=model,
        name=name,
        value=float(statistic(scores)) if len(scores) else float("nan"),
        se=float(known.std(ddof=1)) if known.size > 1 else float("nan"),
        n=len(scores) if n is None else n,
        low=low,
        high=high,
        note=note,
    )


def root_mean_square(values: Sequence[float] | np.ndarray) -> float:
    """Root of the mean square of what is known; nan of nothing."""
    known = np.asarray(values, dtype=float)
    known = known[np.isfinite(known)]
    return float(np.sqrt(np.mean(known**2))) if known.size else float("nan")


def mean_of(values: Sequence[float] | np.ndarray) -> float:
    """Mean of what is known (also a share, of booleans); nan of nothing."""
    known = np.asarray(values, dtype=float)
    known = known[np.isfinite(known)]
    return float(known.mean()) if known.size else float("nan")


def run_alone(
    measure_career: Callable[[int], T],
    bars: Callable[[Sequence[T]], list[Bar]],
    arguments: Sequence[str],
) -> int:
    """One model by itself, ``N [first]`` as arguments: prints its bars; exit code 1 when one is not
    met."""
    n_careers = int(arguments[0]) if arguments else 20
    first = int(arguments[1]) if len(arguments) > 1 else 0
    found = bars([measure_career(seed) for seed in range(first, first + n_careers)])
    print(f"seeds {first} to {first + n_careers - 1}")
    for bar in found:
        print(bar, flush=True)
    return int(any(bar.is_met is False for bar in found))
