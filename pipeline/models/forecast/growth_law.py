"""Gain against training age, beside the published growth law.

Question: since the first logged year, how much stronger has this lifter become at this lift or
muscle, and how much would the published law say for the same ages?
In: (n_weeks,) log level with standard errors (nan where unknown), training age in years. Out: gains
in log x 100, about per cent, at the end of every training year.

Law: strength is straight in the logarithm of weeks; the first year brings 30 to 50 % (Steele et al.
2023, read). From week a to week b that is G ln(b / a) / ln 52 with G the gain of the first year
(shares of G at weeks 1 to 312 computed). One session a week, people of 48 years on average: a
yardstick, not a norm.

Assumptions: gains are counted from the mean of the first logged year, the law's from the mean of
the same weeks; both ends' errors are taken as independent, which makes the interval rather wide.
Refuses less than two years of record: the first is what the gain is counted from.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats, Ints
from pipeline.models.weeks import WEEKS_PER_YEAR, normal_quantile

FIRST_YEAR_GAIN, FIRST_YEAR_LOW, FIRST_YEAR_HIGH = 0.40, 0.30, 0.50
LEAST_YEARS = 2.0


@dataclass(frozen=True)
class Growth:
    """Gains since the first logged year, log x 100, at the end of each training year (m,).

    age_years : training age. gain, low, high : own, with the interval of the stated coverage.
    law, law_low, law_high : what the published law says for the same ages, its first year at the
    middle and the ends of the printed range.
    """

    age_years: Floats
    gain: Floats
    low: Floats
    high: Floats
    law: Floats
    law_low: Floats
    law_high: Floats


def law_share(age_years: ArrayLike) -> Floats:
    """Share of the first year's gain reached at a training age: ln(weeks) / ln 52, from week 1."""
    weeks = np.maximum(np.asarray(age_years, float) * WEEKS_PER_YEAR, 1.0)
    return np.log(weeks) / np.log(52.0)


def compare_growth(
    level_log: ArrayLike, se: ArrayLike, age_years: ArrayLike, coverage: float = 0.90
) -> Growth | Refusal:
    """Own gains beside the law's.

    Parameters
    ----------
    level_log, se : (n_weeks,) fitted level and its standard error; nan where unknown.
    age_years : (n_weeks,) training age, rising.
    """
    level, error, age = (np.asarray(part, float) for part in (level_log, se, age_years))
    known = np.flatnonzero(np.isfinite(level))
    span = float(age[known[-1]] - age[known[0]]) if known.size else 0.0
    if span < LEAST_YEARS:
        return Refusal(round(span, 1), LEAST_YEARS, "years of record", "keep logging")
    first = known[age[known] < age[known[0]] + 1.0]
    at = _ends_of_years(age, known, float(age[first[-1]]))
    reach = normal_quantile(coverage)
    gain = 100.0 * (level[at] - level[first].mean())
    half = 100.0 * reach * np.hypot(error[at], float(error[first].mean()))
    share = 100.0 * (law_share(age[at]) - law_share(age[first]).mean())
    return Growth(
        age_years=age[at],
        gain=gain,
        low=gain - half,
        high=gain + half,
        law=FIRST_YEAR_GAIN * share,
        law_low=FIRST_YEAR_LOW * share,
        law_high=FIRST_YEAR_HIGH * share,
    )


def _ends_of_years(age: Floats, known: Ints, after: float) -> Ints:
    """The last known week of each training year after the first logged one."""
    later = known[age[known] > after]
    return later[np.r_[np.diff(np.floor(age[later])) > 0, True]]
