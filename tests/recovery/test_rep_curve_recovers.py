"""Own repetition curves on a few careers: nearer to the truth than the published curve alone."""

import pytest

from tests.recovery.bars import Bar
from tests.recovery.measure_rep_curve import bars, measure_career


@pytest.fixture(scope="module")
def seen() -> dict[str, Bar]:
    return {bar.name: bar for bar in bars([measure_career(seed) for seed in range(1000, 1003)])}


def test_own_curve_beats_the_published_one(seen: dict[str, Bar]) -> None:
    own, published = seen["slope k, RMSE"], seen["slope k by the published curve, RMSE"]
    assert own.value < published.value, f"{own}; {published}"
    assert seen["own over published"].value < 1.0, str(seen["own over published"])


def test_interval_of_the_repetitions(seen: dict[str, Bar]) -> None:
    assert seen["90 % interval holds"].value >= 0.75, str(seen["90 % interval holds"])
