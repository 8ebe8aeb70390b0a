"""What is done to sets before strength is read from them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.models.e1rm import estimate_1rm
from pipeline.models.rep_curve import adjust_sets, estimate_reserve, log_factor


def one_session(n: int) -> np.ndarray:
    return np.zeros(n, dtype=np.int64)


def test_curve_is_the_default_equation() -> None:
    reps = np.arange(1, 13)
    np.testing.assert_allclose(np.exp(log_factor(reps)), estimate_1rm(1.0, reps), rtol=1e-12)


@given(st.floats(1.0, 20.0), st.floats(1.0, 20.0))
def test_curve_rises_without_a_jump(a: float, b: float) -> None:
    low, high = sorted((a, b))
    step = float(log_factor(high) - log_factor(low))
    assert 0.0 <= step <= 0.0646 * (high - low) + 1e-12


def test_left_out_sets() -> None:
    """No load, no repetition, reserve of five or more, too many repetitions."""
    sets = adjust_sets([100, 0, 100, 100, 40], [5, 5, 0, 5, 25], [1, 1, 1, 5, 0], one_session(5))
    assert list(sets.row) == [0]


def test_unrecorded_ramp_up_sets_are_left_out_and_recorded_ones_kept() -> None:
    load, reps = [60, 80, 100, 98], [5, 5, 5, 5]
    unrecorded = adjust_sets(load, reps, np.full(4, np.nan), one_session(4))
    assert list(unrecorded.row) == [2, 3]
    recorded = adjust_sets(load, reps, [2, 2, 2, 2], one_session(4))
    assert list(recorded.row) == [0, 1, 2, 3]


def test_plan_is_the_most_done_with_one_load_in_a_session() -> None:
    sets = adjust_sets([100] * 3 + [100], [8, 8, 6, 5], [1, 0, 0, 1], np.array([0, 0, 0, 1]))
    np.testing.assert_allclose(sets.curve, log_factor([10, 10, 10, 7]))


def test_many_repetitions_weigh_less() -> None:
    sets = adjust_sets([100, 60], [5, 16], [1, 1], one_session(2))
    assert sets.relative_var[0] == 1.0
    assert sets.relative_var[1] > 4.0


def test_reserve_from_a_known_level() -> None:
    """100 kg for a single: 80 kg allow 7.5 repetitions on Epley's curve (computed)."""
    left = estimate_reserve(np.log(100.0), [80, 80, 110, 100], [5, 9, 1, 1], 1.0)
    np.testing.assert_allclose(left[:2], [2.5, 0.0], atol=1e-9)
    assert np.isnan(left[2])
    assert left[3] == pytest.approx(0.0)
