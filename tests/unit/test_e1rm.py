"""Rules of the e1RM functions: singles, cap, poles, order, inverse."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.models.strength.e1rm import (
    EQUATIONS,
    MAX_REPS,
    estimate_1rm,
    estimate_1rm_from_5rm,
    reps_possible,
)

loads = st.floats(1.0, 500.0)
totals = st.floats(1.0, MAX_REPS)
equations = st.sampled_from(EQUATIONS)


def test_reserve_counts_like_repetitions() -> None:
    assert estimate_1rm(100, 5, 3) == estimate_1rm(100, 8)


def test_no_answer_beyond_twelve_below_one_or_unknown() -> None:
    got = estimate_1rm([100, 100, 100, 100, -5, 0], [13, 10, 0, 5, 5, 5], [0, 2.5, 0, np.nan, 0, 0])
    assert np.isnan(got).all()
    assert np.isfinite(estimate_1rm(100, 12))


@pytest.mark.parametrize("equation", EQUATIONS)
def test_no_number_at_a_pole(equation: str) -> None:
    """Brzycki's pole lies at 37 repetitions, Lander's at 37.92 (computed)."""
    assert np.isnan(estimate_1rm(100, [36, 37, 38, 40], equation=equation)).all()


def test_no_repetitions_past_an_equations_limit() -> None:
    """Mayhew's curve never falls under 52.2 % of the maximum."""
    assert np.isnan(reps_possible(50, 100, "mayhew"))
    assert np.isnan(reps_possible(0, 100))


def test_above_the_maximum_there_are_no_repetitions() -> None:
    np.testing.assert_array_equal(reps_possible([101, 100, 99], 100), [0.0, 1.0, 1.0])


def test_unknown_names_say_what_there_is() -> None:
    with pytest.raises(ValueError, match="epley"):
        estimate_1rm(100, 5, equation="berger")
    with pytest.raises(ValueError, match="leg_press"):
        estimate_1rm_from_5rm(100, "row")


@given(loads, totals, totals, equations)
def test_more_repetitions_never_mean_less(load: float, a: float, b: float, equation: str) -> None:
    few, many = sorted((a, b))
    low, high = estimate_1rm(load, [few, many], equation=equation)
    assert load <= low <= high * (1 + 1e-12)


@given(loads, st.floats(2.0, MAX_REPS), equations)
def test_inverse_returns_the_repetitions(load: float, reps: float, equation: str) -> None:
    one_rm = estimate_1rm(load, reps, equation=equation)
    assert reps_possible(load, one_rm, equation) == pytest.approx(reps, rel=1e-6)
