"""The worked response of the two-component model: one load of 100 on day 0, p0 = 500.

All values computed from the stated formula with the textbook constants k1 = 1, k2 = 2, 45 and 15
days (Morton, Fitz-Clarke, Banister. J Appl Physiol 1990;69:1171-1177: constants and citation from
memory; form read).
"""

import numpy as np
import pytest

from pipeline.models.pauses.impulse_response import (
    ImpulseConstants,
    outline_deload,
    respond_to_loads,
)

# day: (gain, loss with its factor 2, performance); computed
WORKED = {
    1: (97.80229, 2 * 93.55070, 410.70089),
    15: (71.65313, 2 * 36.78794, 498.07724),
    16: (70.07840, 2 * 34.41538, 501.24764),
}


def one_load(days: int) -> np.ndarray:
    loads = np.zeros(days)
    loads[0] = 100.0
    return loads


@pytest.mark.parametrize(("day", "values"), WORKED.items())
def test_worked_example(day, values):
    found = respond_to_loads(one_load(60), 500.0)
    assert (found.gain[day], found.loss[day], found.performance[day]) == pytest.approx(
        values, abs=1e-4
    )


def test_a_load_speaks_from_the_next_day_on():
    assert respond_to_loads(one_load(3), 500.0).performance[0] == 500.0


def test_days_to_the_old_level_and_to_the_peak():
    """t_n = 15.5958 d; t_g = 40.3146 d, so that the discrete course peaks on day 40 (computed)."""
    constants = ImpulseConstants()
    assert constants.days_to_old_level == pytest.approx(15.5958, abs=1e-4)
    assert int(np.argmax(respond_to_loads(one_load(120), 500.0).performance)) == 40


def test_the_other_usual_pair():
    """42 and 7 days (common convention): day 1 424.27159, t_n 5.8224, t_g 20.8732 (computed)."""
    constants = ImpulseConstants(gain_days=42.0, loss_days=7.0)
    course = respond_to_loads(one_load(60), 500.0, constants).performance
    assert course[1] == pytest.approx(424.27159, abs=1e-4)
    assert constants.days_to_old_level == pytest.approx(5.8224, abs=1e-4)
    assert int(np.argmax(course)) == 21


def test_steady_training_settles():
    """100 a day for ever: 100 / (e^(1/45) - 1) = 4450.185 and 100 / (e^(1/15) - 1) = 1450.556
    (computed)."""
    found = respond_to_loads(np.full(2000, 100.0))
    assert found.gain[-1] == pytest.approx(4450.185, abs=1e-3)
    assert found.loss[-1] / 2.0 == pytest.approx(1450.556, abs=1e-3)


def test_outline_of_a_deload_rises_then_falls():
    """The mirror of one load: above the old course until t_n after the eased days, then below."""
    offsets = np.array([-3, -2, -1, 1, 2, 3, 4, 5])
    outline = outline_deload(7, offsets)
    assert np.max(np.abs(outline)) == pytest.approx(1.0)
    assert np.all(np.abs(outline[:3]) < 1e-9)
    assert outline[3] > outline[4] > 0.0 > outline[5]


def test_outline_is_the_sum_of_the_days_eased():
    """Linear in the loads: two days are the first day's course and the same a day later."""
    days = np.zeros(80)
    days[[0, 1]] = 1.0
    both = respond_to_loads(days).performance
    alone = respond_to_loads(one_load(80) / 100.0).performance
    assert both[2:] == pytest.approx(alone[2:] + alone[1:-1])
