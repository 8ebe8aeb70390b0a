"""Proposed weeks on a few simulated careers: feasible, and not worse by the truth."""

import numpy as np

from tests.recovery.measure_planning import bars, measure_career


def test_proposals_are_feasible_and_not_worse_than_what_they_are_held_against():
    # Odd seeds train no block: three careers are enough to see a plan that goes astray.
    scores = [measure_career(seed) for seed in (201, 203, 205)]
    for bar in bars(scores):
        print(bar)
    assert all(one.is_clear for one in scores)
    proposal = np.mean([one.proposal for one in scores])
    for name in ("usual", "published"):
        other = np.mean([getattr(one, name) for one in scores])
        assert proposal >= other - 0.1 * abs(other)
