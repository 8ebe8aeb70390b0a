"""Changes of a level between any two weeks of a grid."""

import pytest

from pipeline.models.strength.slopes import PRACTICE_WEEKS, Slope, fit_slope
from pipeline.models.strength.span_changes import GRID_WEEKS, fit_span_changes
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.unit.test_slopes import curve, line


def test_every_pair_says_what_the_slope_of_the_same_span_says() -> None:
    level = curve(line(3.0, 200), se=0.01)
    level.is_trained[60:100] = False
    found = fit_span_changes(level)
    for a, b, change, se, trained in zip(
        found.week_from,
        found.week_to,
        found.change_log,
        found.se,
        found.n_weeks_trained,
        strict=True,
    ):
        slope = fit_slope(level, int(a), int(b))
        assert isinstance(slope, Slope)
        years = (b - a) / WEEKS_PER_YEAR
        assert 100 * change / years == pytest.approx(slope.pct_per_year)
        assert 100 * se / years == pytest.approx(slope.se)
        assert trained == slope.n_weeks_trained


def test_the_grid_holds_the_present_a_year_before_and_the_first_usable_week() -> None:
    found = fit_span_changes(curve(line(3.0, 200)))
    pairs = set(zip(found.week_from, found.week_to, strict=True))
    assert (199 - 4 * GRID_WEEKS, 199) in pairs
    assert (PRACTICE_WEEKS, 199) in pairs


def test_short_and_rarely_trained_spans_are_left_out() -> None:
    rare = curve(line(3.0, 200))
    rare.is_trained[20:180] = False
    found = fit_span_changes(rare)
    assert (found.week_to - found.week_from).min() >= 26
    assert not ((found.week_from >= 20) & (found.week_to < 180)).any()
    assert fit_span_changes(curve(line(3.0, 20))).se.size == 0
