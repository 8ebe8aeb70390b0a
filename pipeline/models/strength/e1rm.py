"""Estimated one-repetition maximum (e1RM) from load, repetitions and repetitions in reserve.

Question: what load could be lifted once? Loads in kg, repetitions as counts, reserve in
repetitions; results in kg. All functions work element by element on arrays.

Forms of the equations: read in a secondary list; the original citations are from memory (Epley
1985; Brzycki 1993; Lander 1985; Lombardi 1989; Mayhew 1992; O'Conner 1989; Wathan 1994).
Assumption: repetitions + reserve is what a set to failure would have given. No answer (nan)
above ``MAX_REPS``, where the equations part from each other, and beyond a pole.
"""

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import ArrayLike

from pipeline.models.arrays import Floats

# Published accuracy falls as repetitions rise (Whisenant 2003, Reynolds 2006: read); 10 is
# preferred, 12 is the most that is answered.
MAX_REPS = 12.0

# Multiple of the load, as a function of repetitions to failure.
_FACTORS: dict[str, Callable[[Floats], Floats]] = {
    "epley": lambda r: 1.0 + r / 30.0,
    "brzycki": lambda r: 36.0 / (37.0 - r),
    "lander": lambda r: 100.0 / (101.3 - 2.67123 * r),
    "lombardi": lambda r: r**0.10,
    "mayhew": lambda r: 100.0 / (52.2 + 41.9 * np.exp(-0.055 * r)),
    "oconner": lambda r: 1.0 + 0.025 * r,
    "wathan": lambda r: 100.0 / (48.8 + 53.8 * np.exp(-0.075 * r)),
}

# The same solved for repetitions, as a function of one_rm / load.
_INVERSES: dict[str, Callable[[Floats], Floats]] = {
    "epley": lambda f: 30.0 * (f - 1.0),
    "brzycki": lambda f: 37.0 - 36.0 / f,
    "lander": lambda f: (101.3 - 100.0 / f) / 2.67123,
    "lombardi": lambda f: f**10.0,
    "mayhew": lambda f: -np.log((100.0 / f - 52.2) / 41.9) / 0.055,
    "oconner": lambda f: (f - 1.0) / 0.025,
    "wathan": lambda f: -np.log((100.0 / f - 48.8) / 53.8) / 0.075,
}

EQUATIONS = tuple(_FACTORS)

# Slope and intercept (kg) on the five-repetition maximum: Reynolds, Gordon, Robergs 2006 (read).
_FIVE_RM = {"bench_press": (1.1307, 0.6999), "leg_press": (1.0970, 14.2546)}

# Intercept, slope on repetitions x load, slope on repetitions; Kravitz et al. 2003 (read):
# 18 young powerlifters, one set at 70 % (squat, bench press) or 80 % (deadlift).
_ONE_SET = {
    "squat": (159.9, 0.103, -11.552),
    "bench_press": (90.66, 0.085, -5.306),
    "deadlift": (156.08, 0.098, -12.106),
}


def estimate_1rm(
    load_kg: ArrayLike, reps: ArrayLike, rir: ArrayLike = 0.0, equation: str = "epley"
) -> Floats:
    """e1RM in kg; nan where repetitions + reserve is under 1, over ``MAX_REPS`` or unknown.

    One repetition with nothing in reserve is the maximum itself, whatever the equation says.
    """
    load = np.asarray(load_kg, dtype=float)
    total = np.asarray(reps, dtype=float) + np.asarray(rir, dtype=float)
    return np.where(load > 0.0, load, np.nan) * _factor(total, equation)


def reps_possible(load_kg: ArrayLike, one_rm_kg: ArrayLike, equation: str = "epley") -> Floats:
    """Repetitions to failure with ``load_kg``: 0 above the maximum, at least 1 below it.

    Not capped: beyond ``MAX_REPS`` it is an extrapolation, and nan past the equation's limit.
    """
    _check_equation(equation)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.asarray(one_rm_kg, dtype=float) / np.asarray(load_kg, dtype=float)
        reps = np.where(ratio >= 1.0, np.maximum(_INVERSES[equation](ratio), 1.0), 0.0)
    return np.where(np.isfinite(ratio) & np.isfinite(reps), reps, np.nan)


def estimate_1rm_from_5rm(five_rm_kg: ArrayLike, lift: str) -> Floats:
    """1RM in kg from a five-repetition maximum, ``lift`` bench_press or leg_press."""
    slope, intercept = _row_of(_FIVE_RM, lift)
    return slope * np.asarray(five_rm_kg, dtype=float) + intercept


def estimate_1rm_from_one_set(load_kg: ArrayLike, reps: ArrayLike, lift: str) -> Floats:
    """1RM in kg from one set to failure at about 70 % (deadlift 80 %) of it, lift by lift."""
    intercept, on_product, on_reps = _row_of(_ONE_SET, lift)
    load, count = np.asarray(load_kg, dtype=float), np.asarray(reps, dtype=float)
    return intercept + on_product * count * load + on_reps * count


def _factor(total: Floats, equation: str) -> Floats:
    """Multiple of the load, nan outside 1..MAX_REPS (which lies short of every pole)."""
    _check_equation(equation)
    inside = np.where((total >= 1.0) & (total <= MAX_REPS), total, np.nan)
    return np.where(inside == 1.0, 1.0, _FACTORS[equation](inside))


def _check_equation(equation: str) -> None:
    if equation not in _FACTORS:
        raise ValueError(f"equation {equation!r} is unknown; use one of {', '.join(EQUATIONS)}")


def _row_of(table: Mapping[str, tuple[float, ...]], lift: str) -> tuple[float, ...]:
    if lift not in table:
        raise ValueError(f"no published regression for {lift!r}; there are {', '.join(table)}")
    return table[lift]
