"""Placebo and stability of the effect of deloads, on the lifter's own record.

Two questions of ``deload``'s answer. Would invented dates have shown as much? Does the answer hang
on one year? Both repeat the regression only; weekly strength is fitted once.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.pauses.deload import LEAST_DELOADS
from pipeline.models.pauses.deload_regression import (
    Rows,
    blank_weeks,
    lay_columns,
    lay_out,
    regress,
)
from pipeline.models.weeks import mask_weeks, t_quantile


@dataclass(frozen=True)
class FakeDeloads:
    """Placebo: what invented dates show.

    Attributes
    ----------
    effects_pct : (n,) effect of each set of invented dates, %; fewer than asked for, or none,
        where too few ordinary weeks are left.
    own_pct : the effect of the real dates.
    share_as_far : share of the sets of dates, the real one among them, whose effect lies at least
        as far from their middle as the real one from zero; 1 where none could be drawn.
    """

    effects_pct: Floats
    own_pct: float
    share_as_far: float


@dataclass(frozen=True)
class LeftOutYear:
    """The effect without one training year: number of the year, %, 95 % interval, deloads left."""

    year: int
    effect_pct: float
    low_pct: float
    high_pct: float
    n: int


def fit_fake_deloads(
    week_strength: Floats,
    weights: Floats,
    deload_weeks: Ints,
    left_out: Bools | None = None,
    other_weeks: Ints | None = None,
    *,
    n_fakes: int = 100,
    seed: int = 0,
) -> FakeDeloads:
    """Effects found at invented dates.

    As many ordinary weeks as there are readable deloads, drawn at random and not next to a real
    deload, take the deloads' place; the real ones stay in the regression as what they are. The
    effects should lie around 0; a real effect inside their bulk is not one.

    Parameters
    ----------
    week_strength, weights, deload_weeks, left_out, other_weeks : as for ``fit_deload_response``.
    n_fakes : how many sets of dates.
    seed : of the draws.
    """
    deloads = np.unique(np.asarray(deload_weeks, dtype=np.int64))
    strength = blank_weeks(week_strength, deloads, left_out)
    rows, columns = lay_out(strength, weights, deloads, other_weeks)
    n_weeks = len(week_strength)
    is_near = mask_weeks(n_weeks, deloads, before=1, after=1)
    ordinary = rows.week[~is_near[rows.week]]
    n_drawn = int(np.isin(deloads, rows.week).sum())
    if n_drawn == 0 or ordinary.size < 2 * n_drawn:
        return FakeDeloads(np.empty(0), float("nan"), 1.0)
    rng = np.random.default_rng(seed)
    own = 100.0 * regress(rows, columns).value
    effects = np.empty(n_fakes)
    for number in range(n_fakes):
        fake = np.sort(rng.choice(ordinary, n_drawn, replace=False))
        beside = np.column_stack([lay_columns(rows, fake, n_weeks), columns])
        effects[number] = 100.0 * regress(rows, beside).value
    as_far = np.sum(np.abs(effects - np.median(effects)) >= abs(own))
    return FakeDeloads(effects, own, float((as_far + 1.0) / (n_fakes + 1.0)))


def leave_out_years(
    week_strength: Floats,
    weights: Floats,
    deload_weeks: Ints,
    year_of_week: Ints,
    left_out: Bools | None = None,
    other_weeks: Ints | None = None,
) -> tuple[LeftOutYear, ...]:
    """The effect without each of the years that hold a row, in order of year.

    Parameters
    ----------
    week_strength, weights, deload_weeks, left_out, other_weeks : as for ``fit_deload_response``.
    year_of_week : (n_weeks,) number of the (training) year of each week.

    Returns
    -------
    One element per year; years without which fewer than ``LEAST_DELOADS`` deloads could be read
    have none, since then the rest cannot answer either.
    """
    deloads = np.unique(np.asarray(deload_weeks, dtype=np.int64))
    strength = blank_weeks(week_strength, deloads, left_out)
    rows, columns = lay_out(strength, weights, deloads, other_weeks)
    year = np.asarray(year_of_week)[rows.week]
    refits = (
        _refit(rows, columns, deloads, year != one, int(one))
        for one in np.unique(year)
        if np.isin(deloads, rows.week[year != one]).sum() >= LEAST_DELOADS
    )
    return tuple(refits)


def _refit(rows: Rows, columns: Floats, deloads: Ints, kept: Bools, year: int) -> LeftOutYear:
    fewer = rows.keep(kept)
    effect = regress(fewer, columns[kept])
    n = int(np.isin(deloads, fewer.week).sum())
    reach = t_quantile(0.95, n - 1) * effect.se
    low, high = effect.value - reach, effect.value + reach
    return LeftOutYear(year, 100.0 * effect.value, 100.0 * low, 100.0 * high, n)
