"""Do the strength models find what was planted? A few careers, so only gross failures are caught.

``python -m tests.recovery.measure_levels`` holds many careers to the bars of METHODS; here each
limit leaves room for the error of four careers, about a third of a figure.
"""

import pytest

from tests.recovery.bars import Bar
from tests.recovery.measure_levels import bars, measure_career

SEEDS = range(1000, 1004)


@pytest.fixture(scope="module")
def seen() -> dict[str, Bar]:
    return {bar.name: bar for bar in bars([measure_career(seed) for seed in SEEDS])}


@pytest.mark.parametrize(
    ("figure", "low", "high"),
    [
        ("barbell: level RMSE, %", 0.0, 2.6),
        ("barbell: slope RMSE, %/year", 0.0, 3.1),
        ("barbell: |slope bias|, %/year", 0.0, 0.6),
        ("barbell: 90 % interval of a slope holds", 0.78, 0.99),
        ("barbell: |offset|, %", 0.0, 5.0),
        ("barbell: share answered", 0.95, 1.0),
        ("machines: 90 % interval of a slope holds", 0.75, 1.0),
        ("muscles: level RMSE, %", 0.0, 2.5),
        ("muscles: slope RMSE, %/year", 0.0, 2.2),
        ("muscles: |slope bias|, %/year", 0.0, 0.4),
        ("muscles: end-to-end error, median, %", 0.0, 4.0),
        ("muscles: 90 % interval of a slope holds", 0.80, 0.99),
        ("muscles: share answered", 0.95, 1.0),
        ("muscles undeclared: level RMSE, %", 0.0, 4.5),
        ("muscles undeclared: slope RMSE, %/year", 0.0, 3.3),
    ],
)
def test_figures_of_four_careers(
    seen: dict[str, Bar], figure: str, low: float, high: float
) -> None:
    assert low <= seen[figure].value <= high, str(seen[figure])
