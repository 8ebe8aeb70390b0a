"""Expected narrowing on a few simulated careers: not grossly off from what then happened."""

from functools import cache

import numpy as np
import pytest

from tests.recovery.measure_narrowing import NarrowingScore, measure_career


@cache
def scored() -> tuple[NarrowingScore, ...]:
    return tuple(measure_career(seed) for seed in (201, 202, 203))


def pairs(name: str) -> np.ndarray:
    return np.array([pair for one in scored() for pair in getattr(one, name)])


@pytest.mark.parametrize(("name", "within"), [("block", 0.06), ("years", 0.2)])
def test_widths_foretold_are_found(name, within):
    expected, found = pairs(name).T
    ratio = np.median(found / expected)
    print(f"{name}: median found over expected {ratio:.3f} of {found.size}")
    assert found.size >= 24
    assert abs(ratio - 1.0) < within
    assert np.all(expected <= 1.02)


def test_two_years_are_foretold_to_narrow_more_than_a_block():
    assert np.mean(pairs("years")[:, 0]) < np.mean(pairs("block")[:, 0]) < 1.0
    assert np.mean(pairs("years")[:, 1]) < np.mean(pairs("block")[:, 1])


def test_the_weeks_that_a_slope_needs_are_about_right():
    expected, found = pairs("slope").T
    assert found.size >= 6
    assert 0.75 < np.median(found / expected) < 1.35
