"""Slopes, windows and plateaus."""

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from pipeline.core.errors import Refusal
from pipeline.models.strength.slopes import (
    AgeWindow,
    Slope,
    age_windows,
    find_plateaus,
    fit_first_years,
    fit_last_years,
    fit_slope,
    fit_yearly_slopes,
    training_years,
)
from pipeline.models.weeks import WEEKS_PER_YEAR


@dataclass(frozen=True)
class Curve:
    """A fitted level with a known course and a known error of every change."""

    level: NDArray[np.float64]
    is_trained: NDArray[np.bool_]
    se: float

    def changes(self, weeks: ArrayLike) -> tuple[NDArray, NDArray]:
        level = self.level[np.asarray(weeks)]
        return level[None, :] - level[:, None], np.full((level.size, level.size), self.se)


def curve(level: ArrayLike, se: float = 0.004) -> Curve:
    values = np.asarray(level, dtype=float)
    return Curve(values, np.ones(values.size, dtype=bool), se)


def line(pct_per_year: float, n: int) -> NDArray[np.float64]:
    return np.arange(n) * pct_per_year / 100.0 / WEEKS_PER_YEAR


def test_slope_is_per_cent_a_year_with_its_interval() -> None:
    slope = fit_slope(curve(line(3.0, 200)), 10, 114)
    assert isinstance(slope, Slope)
    assert slope.pct_per_year == pytest.approx(3.0)
    assert slope.se == pytest.approx(0.4 * WEEKS_PER_YEAR / 104)
    assert slope.high - slope.pct_per_year == pytest.approx(1.959964 * slope.se, rel=1e-5)


def test_short_or_empty_spans_are_refused() -> None:
    short = fit_slope(curve(line(3.0, 200)), 10, 30)
    assert isinstance(short, Refusal)
    assert (short.has, short.needs) == (20, 26)
    rare = curve(line(3.0, 200))
    rare.is_trained[1:-1] = False
    few = fit_slope(rare, 0, 199)
    assert isinstance(few, Refusal)
    assert few.has == 2


def test_unlinked_ends_are_refused() -> None:
    refusal = fit_slope(curve(line(3.0, 200), se=np.nan), 0, 150)
    assert isinstance(refusal, Refusal)
    assert "linked" in refusal.sentence()


def test_windows_follow_training_age() -> None:
    years = training_years(2.5, 105)
    assert [(w.age_from, w.age_to) for w in years] == [(2, 3), (3, 4), (4, 5)]
    assert (years[0].week_from, years[0].week_to) == (0, 26)
    assert (years[1].week_from, years[1].week_to) == (26, 78)
    assert years[-1].week_to == 104
    assert age_windows([0, 2, 10], 2.5, 105) == [AgeWindow(2, 10, 0, 104)]


def test_every_window_gets_a_slope_or_a_refusal() -> None:
    answers = fit_yearly_slopes(curve(line(3.0, 120)), training_years(1.8, 120))
    assert [type(answer) for _, answer in answers] == [Refusal, Slope, Slope, Refusal]


def test_first_and_last_years() -> None:
    bent = np.concatenate([line(8.0, 200), line(8.0, 200)[-1] + line(1.0, 200)])
    first, last = fit_first_years(curve(bent)), fit_last_years(curve(bent))
    assert isinstance(first, Slope)
    assert isinstance(last, Slope)
    assert first.pct_per_year == pytest.approx(8.0, abs=0.1)
    assert last.pct_per_year == pytest.approx(1.0, abs=0.1)


def test_plateau_is_found_between_two_rises() -> None:
    flat = np.concatenate([line(10.0, 104), np.full(150, line(10.0, 104)[-1])])
    level = np.concatenate([flat, flat[-1] + line(10.0, 104)])
    plateaus = find_plateaus(curve(level))
    assert len(plateaus) == 1
    assert 90 <= plateaus[0].week_from <= 112
    assert 245 <= plateaus[0].week_to <= 265
    assert plateaus[0].verdict(2.0) == "plateau"
    assert plateaus[0].n_weeks_trained == plateaus[0].week_to - plateaus[0].week_from + 1


def test_no_plateau_where_the_interval_is_wide_or_the_span_short() -> None:
    assert find_plateaus(curve(np.zeros(260), se=0.2)) == []
    assert find_plateaus(curve(np.zeros(50))) == []
    assert find_plateaus(curve(line(4.0, 260))) == []


def test_a_plateau_is_searched_for_with_a_wider_interval() -> None:
    """Flat, its 95 % interval within the limit of 2 % a year and its 99 % interval not."""
    per_year = 100.0 * WEEKS_PER_YEAR / 56
    assert 1.96 * 0.0095 * per_year < 2.0 < 2.576 * 0.0095 * per_year
    assert find_plateaus(curve(np.zeros(57), se=0.0095)) == []
    found = find_plateaus(curve(np.zeros(57), se=0.007))
    assert len(found) == 1
    assert found[0].high == pytest.approx(1.959964 * found[0].se)


def test_rise_and_fall_that_cancel_are_no_plateau() -> None:
    tent = np.concatenate([line(8.0, 60), line(8.0, 60)[::-1]])
    assert find_plateaus(curve(tent, se=0.001)) == []


def test_plateaus_do_not_overlap() -> None:
    step = np.concatenate([np.zeros(120), np.full(120, 0.06)])
    found = sorted(find_plateaus(curve(step)), key=lambda s: s.week_from)
    assert len(found) == 2
    assert found[0].week_to <= found[1].week_from


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (-1.5, 1.0, "plateau"),
        (0.5, 1.5, "plateau"),
        (0.5, 4.0, "rising"),
        (-4.0, -0.5, "falling"),
        (-1.0, 3.0, "unclear"),
    ],
)
def test_verdicts(low: float, high: float, expected: str) -> None:
    assert Slope(0, 53, (low + high) / 2, low, high, 1.0, 50).verdict(2.0) == expected


def test_half_a_year_is_never_a_plateau() -> None:
    assert Slope(0, 30, 0.0, -0.5, 0.5, 0.2, 30).verdict(2.0) == "unclear"


def test_a_slope_does_not_begin_in_the_weeks_of_practice() -> None:
    """A lift enters 8 % below its level and is practised after four exposures (METHODS b)."""
    level = line(2.0, 208)
    level[:4] -= [0.08, 0.06, 0.03, 0.01]
    slope = fit_first_years(curve(level))
    assert isinstance(slope, Slope)
    assert slope.week_from == 4
    assert slope.pct_per_year == pytest.approx(2.0)
