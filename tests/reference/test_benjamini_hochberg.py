"""Benjamini and Hochberg's own example, and another library on drawn p-values."""

import numpy as np
import pytest
from statsmodels.stats.multitest import multipletests

from pipeline.models.family import adjust_p_values

# Benjamini & Hochberg. J R Stat Soc B 1995;57:289-300 (read, through public tests that quote it;
# the adjusted values computed).
P_VALUES = np.array(
    [
        *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240),
        *(0.4262, 0.5719, 0.6528, 0.7590, 1.0000),
    ]
)
ADJUSTED = (0.0015, 0.003, 0.0095, 0.035625, 0.0603)


def test_four_of_fifteen_stand_where_one_by_one_correction_leaves_three():
    assert int(np.sum(adjust_p_values(P_VALUES) <= 0.05)) == 4
    assert int(np.sum(P_VALUES * P_VALUES.size <= 0.05)) == 3


def test_adjusted_values_are_the_published_ones():
    assert adjust_p_values(P_VALUES)[:5] == pytest.approx(ADJUSTED, abs=1e-12)


def test_order_does_not_matter_and_untested_ones_do_not_count():
    order = np.random.default_rng(3).permutation(P_VALUES.size)
    assert adjust_p_values(P_VALUES[order]) == pytest.approx(adjust_p_values(P_VALUES)[order])
    with_gap = np.insert(P_VALUES, 4, np.nan)
    assert np.delete(adjust_p_values(with_gap), 4) == pytest.approx(adjust_p_values(P_VALUES))
    assert np.isnan(adjust_p_values(with_gap)[4])


@pytest.mark.parametrize("seed", range(4))
def test_agrees_with_another_library(seed):
    p = np.random.default_rng(seed).beta(0.4, 1.0, 23)
    other = multipletests(p, method="fdr_bh")[1]
    assert adjust_p_values(p) == pytest.approx(other, abs=1e-12)


def test_what_is_no_probability_is_refused():
    with pytest.raises(ValueError, match="give 0 to 1"):
        adjust_p_values([0.2, 1.2])
