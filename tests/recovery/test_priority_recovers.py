"""One simulated career or two: what phases bought is not grossly wrong, and nothing gives nothing.

``measure_priority`` prints the bars over many careers; these bounds fail on gross errors only.
"""

from functools import cache

import numpy as np

from pipeline.models.simulate import CareerOptions, simulate_career
from tests.recovery.bars import root_mean_square
from tests.recovery.priority_cases import (
    score_detection,
    score_effects,
    share_called_shuffled,
    simulate_clear,
)

SEED = 3


@cache
def scores(has_effect=True):
    return score_effects(simulate_career(SEED, CareerOptions(has_phase_effect=has_effect)))


def test_gain_and_cost_are_nearer_the_truth_than_before_after_and_matched_windows():
    for role, found in scores().items():
        assert len(found) >= 8
        own = root_mean_square([one.found - one.true for one in found])
        before = root_mean_square([one.before_after - one.true for one in found])
        matched = root_mean_square([one.placebo - one.true for one in found])
        held = np.mean([one.is_held_90 for one in found])
        print(f"{role}: {own:.2f}, before/after {before:.2f}, matched {matched:.2f}, {held:.2f}")
        assert own < 0.6 * before
        assert own < 0.9 * matched
        assert held >= 0.6


def test_phases_in_which_nothing_was_gained_are_not_called():
    for found in scores(has_effect=False).values():
        assert all(one.true == 0 for one in found)
        assert np.mean([one.called != 0 for one in found]) <= 0.15


def test_shuffled_weeks_find_nothing():
    assert share_called_shuffled(simulate_career(SEED, CareerOptions())) <= 0.15


def test_clear_phases_are_found_and_what_is_found_is_mostly_one():
    found = [score_detection(simulate_clear(seed)) for seed in (5, 6)]
    overlapping, all_found = (sum(getattr(s, n) for s in found) for n in ("overlapping", "found"))
    clear_found, clear = (sum(getattr(s, n) for s in found) for n in ("clear_overlapping", "clear"))
    print(f"precision {overlapping / all_found:.2f}, recall {clear_found / clear:.2f}")
    assert overlapping / all_found >= 0.7
    assert clear_found / clear >= 0.6
