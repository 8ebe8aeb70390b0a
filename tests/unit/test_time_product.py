"""Breaks, order and refusal of the time-product dummy."""

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.strength.time_product import TimeProductIndex, fit_time_product


def test_without_overlap_the_blocks_stay_apart() -> None:
    fit = fit_time_product([0, 1, 3, 4], [0, 0, 1, 1], [100, 110, 50, 55])
    assert isinstance(fit, TimeProductIndex)
    assert list(fit.block) == [0, 0, -1, 1, 1]
    np.testing.assert_allclose(fit.index, [1, 1.1, np.nan, 1, 1.1])


def test_one_period_is_refused() -> None:
    refusal = fit_time_product([2, 2], [0, 1], [100, 50])
    assert isinstance(refusal, Refusal)
    assert (refusal.has, refusal.needs) == (1, 2)


def test_rows_without_a_positive_value_are_left_out() -> None:
    fit = fit_time_product([0, 1, 1], [0, 0, 1], [100, 110, np.nan])
    assert isinstance(fit, TimeProductIndex)
    np.testing.assert_allclose(fit.index, [1, 1.1])
    assert np.isnan(fit.exercise_level[1])
