"""The forecast: what it does with one history, with a group, and with what cannot be forecast."""

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.forecast.predict import (
    Forecast,
    GroupDrift,
    fit_drift,
    forecast,
    published_drift,
)
from pipeline.models.forecast.steps import FEATURES, History, list_steps
from tests.recovery.competitors import POPULATIONS, invent_people

USUAL = POPULATIONS["log-time growth"]


@pytest.fixture(scope="module")
def group() -> GroupDrift:
    found = fit_drift(invent_people(5, 400, USUAL))
    assert isinstance(found, GroupDrift)
    return found


def answered(found: Forecast | Refusal) -> Forecast:
    assert isinstance(found, Forecast)
    return found


def test_published_drift_by_training_age():
    """At 52 weeks a gain of 40 %, 35 % more of it by week 312 (Steele 2023: share 1.453,
    computed). From training age 1 to 6 the law adds 0.453 of the first year's 40 %."""
    history = History(np.array([0.0]), np.array([100.0]), training_age_years=1.0)
    ahead = answered(forecast(history, 5.0))
    assert np.log(ahead.value / 100.0) == pytest.approx(0.40 * 0.453, abs=2e-3)


def test_published_drift_of_competitors():
    """10 % in the first year of competing and 20 % in ten (Latella et al. 2024, read): the ten
    points between are straight in the logarithm of years."""
    history = History(np.array([0.0]), np.array([500.0]))
    ahead = answered(forecast(history, 9.0))
    assert np.log(ahead.value / 500.0) == pytest.approx(0.10, abs=1e-9)


def test_published_interval_is_that_of_two_tests():
    """Two single tests differ by at most 11.6 % in 95 of 100 (1.96 x sqrt(2) x 4.2, computed)."""
    history = History(np.array([0.0, 1.0]), np.array([100.0, 100.0]))
    near = answered(forecast(history, 1e-6, coverage=0.95))
    assert 100.0 * np.log(near.high / near.value) == pytest.approx(11.6, abs=0.1)


def test_interval_widens_with_years_and_coverage():
    history = History(np.array([0.0, 1.0]), np.array([100.0, 103.0]))
    near, far = (answered(forecast(history, years)) for years in (0.5, 3.0))
    assert far.high / far.low > near.high / near.low
    wide = answered(forecast(history, 0.5, coverage=0.95))
    assert wide.low < near.low < near.high < wide.high


def test_standard_error_of_a_fitted_level_widens():
    years, values = np.array([0.0, 1.0]), np.array([100.0, 103.0])
    sharp, blunt = (
        answered(forecast(History(years, values, 5.0, np.full(2, se)), 1.0)) for se in (0.01, 0.05)
    )
    assert blunt.spread_log == pytest.approx(np.hypot(0.05, 0.025), rel=0.02)
    assert sharp.spread_log == pytest.approx(np.hypot(0.01, 0.025), rel=0.02)


def test_an_error_of_the_height_adds_in_quadrature():
    history = History(np.array([0.0, 1.0]), np.array([100.0, 100.0]), 5.0, np.full(2, 0.03))
    near = answered(forecast(history, 1e-6))
    wide = near.widened(0.04)
    assert np.log(wide.high / wide.value) == pytest.approx(1.2816 * 0.05, rel=1e-3)
    assert np.log(wide.value / wide.low) == pytest.approx(1.2816 * 0.05, rel=1e-3)
    assert (wide.value, wide.spread_log) == (near.value, pytest.approx(0.05, rel=0.01))
    assert near.widened(0.0).high == pytest.approx(near.high)


@pytest.mark.parametrize("factor", [0.4536, 2.2046])
def test_units_do_not_matter(factor, group):
    """Kilograms or pounds: the same forecast but for the group's level."""
    people = invent_people(6, 60, USUAL)
    other = fit_drift([History(one.years, one.values * factor) for one in people])
    same = fit_drift(people)
    assert isinstance(other, GroupDrift)
    assert isinstance(same, GroupDrift)
    one = people[0]
    scaled = History(one.years, one.values * factor)
    assert answered(forecast(scaled, 1.0, other)).value == pytest.approx(
        factor * answered(forecast(one, 1.0, same)).value, rel=1e-6
    )


def test_a_bad_day_is_not_the_new_level(group):
    steady = History(np.array([0.0, 0.6, 1.2, 1.8]), np.array([500.0, 505.0, 510.0, 512.5]))
    bad = History(steady.years, np.array([500.0, 505.0, 510.0, 440.0]))
    ahead = answered(forecast(bad, 0.6, group))
    assert 440.0 * 1.03 < ahead.value < 512.5
    assert answered(forecast(steady, 0.6, group)).value == pytest.approx(512.5, rel=0.03)


def test_one_straight_line_is_not_followed(group):
    """+10 % a year so far: a line would say +20 % in two years (METHODS f: a bias of +24 kg)."""
    fast = History(np.linspace(0.0, 2.0, 5), 400.0 * np.exp(0.10 * np.linspace(0.0, 2.0, 5)))
    ahead = answered(forecast(fast, 2.0, group))
    assert 0.0 < np.log(ahead.value / ahead.last) < 0.10


def test_a_step_knows_nothing_of_what_came_later():
    people = invent_people(7, 30, USUAL)
    cut = [one.until(one.years.size - 2) for one in people if one.years.size > 2]
    whole = list_steps([one for one in people if one.years.size > 2], None)
    before = list_steps(cut, None)
    kept = ~whole.is_last
    off = whole.features[kept] - before.features
    level = FEATURES.index("level")
    assert np.abs(np.delete(off, level, axis=1)).max() == 0.0
    # The level is counted from the group's mean, which may move; nothing else of the step does.
    assert off[:, level] == pytest.approx((before.centre - whole.centre) * before.years)


def test_steps_of_a_year_reach_back_a_year():
    history = History(np.arange(9) * 0.25, np.full(9, 100.0))
    steps = list_steps([history], 1.0)
    assert steps.years == pytest.approx(np.ones(5))


def test_fitted_levels_teach_growth_only():
    rng = np.random.default_rng(3)
    people = [
        History(
            np.arange(8) * 0.5, 100 * np.exp(np.cumsum(rng.normal(0, 0.02, 8))), 5.0, np.ones(8)
        )
        for _ in range(20)
    ]
    features = list_steps(people, 1.0).features
    assert np.any(features[:, :2] != 0.0)
    assert not np.any(features[:, 2:])


def test_a_small_group_without_a_lesson_keeps_the_published_drift():
    """People whose steps are noise about the published drift: the hardest pull is taken."""
    rng = np.random.default_rng(8)
    law = published_drift(False).coefficients[0]
    people = []
    for _ in range(12):
        years = np.cumsum(rng.uniform(0.3, 1.0, 5))
        logs = law * np.log(1.0 + years - years[0]) + rng.normal(0.0, 0.03, 5)
        people.append(History(years, 400.0 * np.exp(logs)))
    found = fit_drift(people)
    assert isinstance(found, GroupDrift)
    assert found.coefficients[0] == pytest.approx(law, abs=0.02)
    assert np.abs(found.coefficients[3:]).max() < 0.5


def test_rounding_moves_no_forecast_by_much(group):
    history = invent_people(9, 1, USUAL)[0]
    exact, rounded = (answered(forecast(history, 1.0, one)) for one in (group, group.rounded()))
    assert rounded.value == pytest.approx(exact.value, rel=2e-3)
    assert rounded.low == pytest.approx(exact.low, rel=5e-3)


def test_the_same_people_teach_the_same():
    people = invent_people(10, 40, USUAL)
    assert fit_drift(people) == fit_drift(people)


def test_refusals():
    few = fit_drift(invent_people(11, 9, USUAL))
    assert isinstance(few, Refusal)
    assert (few.has, few.needs) == (9, 10)
    singles = [History(np.array([0.0]), np.array([300.0]))] * 50
    assert isinstance(fit_drift(singles), Refusal)
    assert isinstance(forecast(invent_people(11, 1, USUAL)[0], 11.0), Refusal)


@pytest.mark.parametrize(
    ("years", "values", "told"),
    [
        ([0.0, 1.0], [100.0], "give one date a value"),
        ([0.0, 1.0], [100.0, 0.0], "leave failed tests out"),
        ([0.0, 1.0], [100.0, np.nan], "leave failed tests out"),
        ([1.0, 0.0], [100.0, 100.0], "order of their dates"),
        ([], [], "give one date a value"),
    ],
)
def test_what_is_no_history_is_said(years, values, told):
    with pytest.raises(ValueError, match=told):
        History(np.array(years), np.array(values))
