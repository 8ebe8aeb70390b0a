"""Time-product dummy against a published price data set and small swaps worked out by hand.

Data: Diewert & Fox CES, sigma 2, as carried by the package IndexNumR 0.6.0; weighted values read
in that package's own tests, unweighted and toys computed.
"""

import numpy as np
import pytest

from pipeline.models.strength.time_product import TimeProductIndex, fit_time_product


def table(text: str) -> np.ndarray:
    return np.array([line.split() for line in text.strip().splitlines()], dtype=float)


# One product a line, periods 1 to 12.
PRICES = table("""
2 1.75 1.6 1.5 1.45 1.4 1.35 1.3 1.25 1.2 1.15 1.1
1 0.5 1.05 1.1 1.12 1.15 1.18 0.6 1.2 1.25 1.28 1.3
1 0.95 0.9 0.85 0.4 0.8 0.75 0.72 0.7 0.4 0.7 0.65
0.5 0.55 0.6 0.65 0.7 0.75 0.7 0.65 0.7 0.75 0.75 0.8
""")
# Two half years a product.
QUANTITIES = table("""
.384615 .584663 .713550 .914942 1.028057 1.205823
1.329328 1.457490 1.621883 1.838235 2.105497 2.457604
1.538462 7.162116 1.656860 1.701338 1.723127 1.787080
1.739946 6.842105 1.759855 1.694118 1.699536 1.759586
1.538462 1.983966 2.255171 2.849299 13.509317 3.692834
4.307024 4.751462 5.171819 16.544118 5.682694 7.038344
12.307692 11.838209 10.148270 9.744941 8.822411 8.403250
9.888575 11.659919 10.343639 9.411765 9.900515 9.292813
""").reshape(4, 12)
JEVONS = table("""
1 0.82228731 0.97594594 0.97713385 0.82117556 0.99138942
0.95629915 0.77729364 0.92591652 0.81903626 0.93759823 0.92861318
""").ravel()
WEIGHTED = table("""
1 0.88033987 1.11310561 1.15879006 0.94422888 1.23413423
1.17381865 0.96466253 1.14473361 0.95580486 1.17418845 1.17377193
""").ravel()


def fit_panel(weight: np.ndarray | None) -> TimeProductIndex:
    product, period = np.indices(PRICES.shape)
    fit = fit_time_product(
        period.ravel(), product.ravel(), PRICES.ravel(), None if weight is None else weight.ravel()
    )
    assert isinstance(fit, TimeProductIndex)
    return fit


def test_unweighted_equals_jevons_on_a_complete_panel() -> None:
    """Computed both ways, equal."""
    jevons = np.exp(np.log(PRICES / PRICES[:, :1]).mean(axis=0))
    np.testing.assert_allclose(fit_panel(None).index, jevons, rtol=1e-12)
    np.testing.assert_allclose(fit_panel(None).index, JEVONS, atol=5e-9)


def test_weighted_equals_the_published_series() -> None:
    """Read (and computed); quantities are printed to six decimals."""
    spent = PRICES * QUANTITIES
    np.testing.assert_allclose(fit_panel(spent / spent.sum(axis=0)).index, WEIGHTED, atol=1e-6)


def test_one_overlap_links_two_lifts() -> None:
    """Toy A, computed: A = 100, 104, 108; B = 90, 92, 95 from the third period on."""
    fit = fit_time_product([0, 1, 2, 2, 3, 4], [0, 0, 0, 1, 1, 1], [100, 104, 108, 90, 92, 95])
    assert isinstance(fit, TimeProductIndex)
    np.testing.assert_allclose(fit.index, [1, 1.04, 1.08, 1.104, 1.14], atol=1e-12)
    assert fit.exercise_level[1] / fit.exercise_level[0] == pytest.approx(0.83333, abs=1e-5)


def test_entry_of_a_third_lift_parts_it_from_the_chain() -> None:
    """Toy B, computed: time-product dummy 1.06890600 against a chained 1.07451315."""
    period, lift = [0, 1, 2, 3, 0, 1, 2, 3, 2, 3], [0] * 4 + [1] * 4 + [2] * 2
    value = np.array([100, 102, 104, 106, 60, 61, 63, 64, 80, 84], dtype=float)
    fit = fit_time_product(period, lift, value)
    assert isinstance(fit, TimeProductIndex)
    np.testing.assert_allclose(fit.index, [1, 1.01833197, 1.03953496, 1.06890600], atol=5e-9)
    log = np.log(value)
    links = [
        np.mean([log[t + 1 + 4 * i] - log[t + 4 * i] for i in range(2)] + more)
        for t, more in ((0, []), (1, []), (2, [log[9] - log[8]]))
    ]
    assert np.exp(sum(links)) == pytest.approx(1.07451315, abs=5e-9)
