"""Lines of a group where they can hardly be told: a right fit or a refusal, never a wrong one."""

import numpy as np
import pytest
import scipy.optimize

from pipeline.core.errors import Refusal
from pipeline.models import mixed
from pipeline.models.mixed import MixedFit, fit_random_slopes


def lines(
    seed: int, n_groups: int, n: int, intercept_sd: float, slope_sd: float, residual_sd: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Invented lines: average 100 + 2 x."""
    rng = np.random.default_rng(seed)
    group = np.repeat(np.arange(n_groups), n)
    x = np.tile(np.linspace(-3.0, 0.0, n), n_groups)
    y = 100.0 + rng.normal(0.0, intercept_sd, n_groups)[group]
    y = y + (2.0 + rng.normal(0.0, slope_sd, n_groups)[group]) * x
    return group, x, y + rng.normal(0.0, residual_sd, y.size)


def fitted(*parts: np.ndarray) -> MixedFit:
    found = fit_random_slopes(*parts)
    assert isinstance(found, MixedFit)
    return found


def refused(*parts: np.ndarray) -> Refusal:
    found = fit_random_slopes(*parts)
    assert isinstance(found, Refusal)
    return found


def test_planted_lines_are_found():
    found = fitted(*lines(1, 60, 12, 5.0, 1.5, 2.0))
    assert found.slope == pytest.approx(2.0, abs=3 * found.slope_se)
    assert (found.intercept_sd, found.slope_sd) == pytest.approx((5.0, 1.5), rel=0.35)
    assert found.residual_sd == pytest.approx(2.0, rel=0.1)


def test_one_person_is_refused():
    found = refused(*lines(2, 1, 40, 5.0, 1.0, 1.0))
    assert (found.has, found.needs) == (1, mixed.MIN_GROUPS)


def test_nobody_is_refused():
    assert refused(np.array([]), np.array([]), np.array([])).has == 0


def test_no_spread_between_people_is_an_ordinary_answer():
    """Variances of zero lie on the border: the pooled line by least squares comes out."""
    group, x, y = lines(3, 20, 15, 0.0, 0.0, 2.0)
    found = fitted(group, x, y)
    slope, intercept = np.polyfit(x, y, 1)
    assert found.slope == pytest.approx(slope, abs=0.05)
    assert found.intercept == pytest.approx(intercept, abs=0.15)
    assert found.slope_sd < 0.5
    assert found.intercept_sd < 0.8


def test_no_scatter_within_people_is_refused():
    """Exact lines: the likelihood grows without end as the scatter goes to zero."""
    assert refused(*lines(4, 12, 8, 3.0, 1.0, 0.0)).of_what == "values off their own lines"


def test_all_values_the_same_is_refused():
    group, x, _ = lines(5, 12, 8, 1.0, 1.0, 1.0)
    refused(group, x, np.full(x.size, 50.0))


@pytest.mark.parametrize("moved", [0.0, 0.1])
def test_one_date_a_person_tells_no_slope(moved):
    """x without spread inside people: the same for all, or one of each (slope and height of a
    person cannot be told apart)."""
    group = np.repeat(np.arange(12), 6)
    y = np.random.default_rng(6).normal(0.0, 1.0, group.size)
    assert refused(group, moved * group, y).of_what == "lifters with a level at two times"


def test_one_value_a_person_tells_no_scatter():
    refused(np.arange(30), np.linspace(0, 1, 30), np.random.default_rng(7).normal(0.0, 1.0, 30))


def test_people_with_one_value_may_join_others():
    group, x, y = lines(8, 12, 10, 3.0, 1.0, 1.0)
    alone = fitted(np.r_[group, [50, 51]], np.r_[x, [0.0, -1.0]], np.r_[y, [100.0, 98.0]])
    assert alone.n_groups == 14
    assert alone.slope == pytest.approx(fitted(group, x, y).slope, abs=0.2)


def test_two_values_a_person_tell_no_scatter():
    """Each pair lies on a line of its own: scatter and spread of slopes cannot be told apart."""
    assert refused(*lines(9, 30, 2, 3.0, 1.0, 1.0)).of_what == "values off their own lines"


@pytest.mark.parametrize("height", [0.0, 1e6])
def test_a_far_height_changes_nothing_but_the_intercept(height):
    group, x, y = lines(10, 20, 10, 3.0, 1.0, 1.0)
    near, far = fitted(group, x, y), fitted(group, x, y + height)
    assert far.slope == pytest.approx(near.slope, abs=1e-3)
    assert far.intercept - height == pytest.approx(near.intercept, abs=1e-3)
    assert far.log_likelihood == pytest.approx(near.log_likelihood, abs=1e-3)


@pytest.mark.parametrize("scale", [1e-3, 1e3])
def test_units_do_not_matter(scale):
    group, x, y = lines(11, 20, 10, 3.0, 1.0, 1.0)
    near, other = fitted(group, x, y), fitted(group, x, scale * y)
    assert other.slope / scale == pytest.approx(near.slope, abs=2e-3)
    assert other.slope_sd / scale == pytest.approx(near.slope_sd, rel=2e-2)


def test_values_that_are_not_finite_are_said():
    group, x, y = lines(12, 6, 6, 1.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="not finite"):
        fit_random_slopes(group, x, np.where(x < -2.9, np.nan, y))


def test_runs_that_say_they_did_not_converge_are_not_reported(monkeypatch):
    real = scipy.optimize.minimize

    def stop_early(*args, **kwargs):
        run = real(*args, **kwargs)
        run.success = False
        return run

    monkeypatch.setattr(scipy.optimize, "minimize", stop_early)
    assert refused(*lines(13, 12, 10, 3.0, 1.0, 1.0)).of_what == "agreeing fits"


def test_one_run_alone_at_the_best_is_not_reported(monkeypatch):
    real, count = scipy.optimize.minimize, iter(range(100))

    def differ(*args, **kwargs):
        run = real(*args, **kwargs)
        run.fun += next(count)
        return run

    monkeypatch.setattr(scipy.optimize, "minimize", differ)
    assert refused(*lines(14, 12, 10, 3.0, 1.0, 1.0)).has == 1
