"""How weekly states may move: random walk, local linear trend, trend with passing form.

Each is the banded precision matrix of all weeks' states, n weeks of k states, that
``state_space`` adds measurements to. Variances per week, in the square of the level's unit.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats

_TREND = np.array([[1.0, 1.0], [0.0, 1.0]])


@dataclass(frozen=True)
class WeekPrior:
    """How states move from week to week; level and slope of the first week are diffuse.

    bands : (bandwidth + 1, n k) precision, lower banded form of scipy.
    log_det : log determinant of the precision of all innovations.
    states : k.
    transition : (k, k) what a week's states are expected to be the week after.
    observed : positions of the states whose sum a measurement sees; the level is the first.
    """

    bands: Floats
    log_det: float
    states: int
    transition: Floats
    observed: tuple[int, ...] = (0,)


def level_prior(level_var: Floats) -> WeekPrior:
    """Random walk; ``level_var`` (n - 1,) is the variance of each step."""
    p = 1.0 / level_var
    bands = np.zeros((2, p.size + 1))
    bands[0, :-1] += p
    bands[0, 1:] += p
    bands[1, :-1] = -p
    return WeekPrior(bands, float(np.log(p).sum()), 1, np.eye(1))


def trend_prior(level_var: Floats, slope_var: Floats) -> WeekPrior:
    """Local linear trend: level[t+1] = level[t] + slope[t] + e, slope[t+1] = slope[t] + f.

    ``level_var`` and ``slope_var`` (n - 1,) are the variances of e and f, all positive.
    """
    bands = _trend_bands(1.0 / level_var, 1.0 / slope_var, 2)
    return WeekPrior(bands, _log_det(level_var, slope_var), 2, _TREND)


def trend_form_prior(
    level_var: Floats, slope_var: Floats, form_var: float, carry: float, first_slope_var: float
) -> WeekPrior:
    """The same with passing form added to what is measured: form[t+1] = carry form[t] + g.

    ``form_var`` is the stationary variance of form, which is no part of the level. The first
    slope is not diffuse here but has mean 0 and variance ``first_slope_var``.
    """
    bands = _trend_bands(1.0 / level_var, 1.0 / slope_var, 3)
    n = level_var.size + 1
    bands[0, 1] += 1.0 / first_slope_var
    step = 1.0 / (form_var * (1.0 - carry**2))
    bands[0, 2::3] = step * (1.0 + carry**2)
    bands[0, [2, -1]] = step
    bands[3, 2:-3:3] = -carry * step
    log_det = _log_det(level_var, slope_var) + (n - 1) * np.log(step) - np.log(form_var)
    log_det -= np.log(first_slope_var)
    transition = np.zeros((3, 3))
    transition[:2, :2], transition[2, 2] = _TREND, carry
    return WeekPrior(bands, float(log_det), 3, transition, observed=(0, 2))


def _trend_bands(p: Floats, r: Floats, k: int) -> Floats:
    """Precision of level (state 0) and slope (state 1) among k states a week."""
    bands = np.zeros((k + 1, k * (p.size + 1)))
    bands[0, 0:-k:k] += p
    bands[0, k::k] += p
    bands[0, 1:-k:k] += p + r
    bands[0, k + 1 :: k] += r
    bands[1, 0:-k:k] = p
    bands[k - 1, 1:-k:k] -= p
    bands[k, 0:-k:k] = -p
    bands[k, 1:-k:k] = -r
    return bands


def _log_det(level_var: Floats, slope_var: Floats) -> float:
    return float(-np.log(level_var).sum() - np.log(slope_var).sum())
