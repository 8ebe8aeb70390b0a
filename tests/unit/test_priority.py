"""Gain and cost of priority phases, and phases found from weekly sets, on cases made by hand."""

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.priority.detect import detect_phases, find_segments
from pipeline.models.priority.gain import LEAST_USUAL, LEAST_WEEKS, fit_priority
from pipeline.models.priority.ledger import PriorityWeeks
from pipeline.models.priority.windows import Phase, find_usual, find_windows
from pipeline.models.volume.answer import N_DRAWS, ResponseNoise, VolumeResponse
from pipeline.models.volume.response_curve import VolumePrior, response_at
from pipeline.models.weeks import WEEKS_PER_YEAR, Blocks

N = 120
PHASE = Phase(60, 69, ("calves",))
NONE = np.zeros(0)
PRIOR = VolumePrior(16.0, 4.0)


def known_response(best):
    """A response without any doubt: 3 % a year at training age 5 and ``best`` sets."""
    values = PRIOR.values(np.zeros(8))
    values[:4] = best, 0.0, 1.0, 0.03
    draws = np.tile(values, (N_DRAWS, 1))
    weeks = np.zeros(0, dtype=np.int64)
    blocks = Blocks(weeks, weeks, NONE, NONE, NONE, np.zeros(0, dtype=bool))
    noise = ResponseNoise(0.003, 0.4, 0.1, 0.1)
    return VolumeResponse(PRIOR, blocks, 4.0, 20.0, True, 40, noise, draws, draws)


def record(calves_in_phase=16.0, chest_in_phase=8.0, age=5.0):
    """Eight sets a week for both, otherwise in the phase; indexes rise by 0.1 % a week."""
    sets = {"calves": np.full(N, 8.0), "chest": np.full(N, 8.0)}
    sets["calves"][PHASE.first : PHASE.last + 1] = calves_in_phase
    sets["chest"][PHASE.first : PHASE.last + 1] = chest_in_phase
    level = 0.001 * np.arange(N)
    none = np.zeros(N, dtype=bool)
    return PriorityWeeks(
        level_log=dict.fromkeys(sets, level),
        weekly_sets=sets,
        left_out=dict.fromkeys(sets, none),
        is_trained=np.ones(N, dtype=bool),
        training_age_years=np.full(N, age),
    )


RESPONSES = {"calves": known_response(16.0), "chest": known_response(16.0)}


def test_a_known_response_gains_what_it_says():
    """At age 5: 3 % a year at 16 sets; at 8 sets 1 - 1 x 0.5^2 = three quarters of it. Ten weeks at
    16 in place of 8 gain a quarter of 3 % over ten weeks."""
    ledger = fit_priority([PHASE], record(), RESPONSES)
    (effect,) = ledger.effects
    expected = 0.25 * 3.0 * 10 / WEEKS_PER_YEAR
    by_model = response_at(RESPONSES["calves"].draws[0], 5.0, np.array([16.0, 8.0]))
    assert 100 * 10 / WEEKS_PER_YEAR * (by_model[0] - by_model[1]) == pytest.approx(expected)
    assert effect.gain.value == pytest.approx(expected, abs=0.01)
    assert effect.cost.value == pytest.approx(0.0, abs=0.01)
    assert ledger.gain.value == pytest.approx(expected, abs=0.01)


def test_shares_sets_change_and_matched_windows_are_those_of_the_record():
    (effect,) = fit_priority([PHASE], record(), RESPONSES).effects
    calves = next(one for one in effect.muscles if one.muscle == "calves")
    assert (calves.usual_sets, calves.phase_sets) == (8.0, 16.0)
    assert (calves.usual_share, calves.phase_share) == (0.5, pytest.approx(2 / 3))
    assert calves.change_pct == pytest.approx(1.0)
    assert calves.matched_pct == pytest.approx(1.0)
    assert calves.n_matched == 26


def test_an_ordinary_stretch_gains_nothing():
    """The placebo: the same muscles over weeks outside the phase."""
    (placebo,) = fit_priority([PHASE], record(), RESPONSES).placebos
    shared = min(placebo.phase.last, PHASE.last) + 1 - max(placebo.phase.first, PHASE.first)
    assert shared <= 0.25 * PHASE.n_weeks
    ordinary = [w for w in range(placebo.phase.first, placebo.phase.last + 1) if not 60 <= w <= 69]
    assert len(ordinary) >= 7
    assert abs(placebo.cost.value) < 0.01


def test_fewer_sets_than_usual_for_the_others_cost_something():
    (effect,) = fit_priority([PHASE], record(chest_in_phase=4.0), RESPONSES).effects
    assert effect.cost.value < -0.1


def test_a_phase_with_few_weeks_or_without_usual_ones_is_refused():
    weeks = record()
    (short,) = fit_priority([Phase(60, 62, ("calves",))], weeks, RESPONSES).effects
    assert isinstance(short, Refusal)
    assert (short.has, short.needs) == (3, LEAST_WEEKS)
    (whole,) = fit_priority([Phase(0, N - 1, ("calves",))], weeks, RESPONSES).effects
    assert isinstance(whole, Refusal)
    assert (whole.has, whole.needs) == (0, LEAST_USUAL)


def test_a_phase_of_muscles_without_a_response_is_refused():
    refusal = Refusal(3, 20, "comparisons of seven-week blocks", "keep logging")
    ledger = fit_priority([PHASE], record(), {**RESPONSES, "calves": refusal})
    assert isinstance(ledger.effects[0], Refusal)
    assert ledger.gain is None


def test_usual_weeks_lie_outside_and_windows_mostly_so():
    inside = np.zeros(N, dtype=bool)
    inside[60:70] = True
    usual = find_usual(~inside, PHASE)
    assert usual.tolist() == [*range(34, 60), *range(70, 96)]
    starts = find_windows(inside, 10, 60)
    assert starts[0] in (52, 68)
    assert all(inside[s : s + 10].mean() <= 0.25 for s in starts)


def sets_with_phase(factor=2.5, first=60, last=71):
    """Ten muscles at ten sets with noise; two of them at ``factor`` times in the phase."""
    rng = np.random.default_rng(1)
    sets = {f"m{n}": np.round(rng.normal(10, 1, N)) for n in range(10)}
    for name in ("m0", "m1"):
        sets[name][first : last + 1] = np.round(sets[name][first : last + 1] * factor)
    return sets


def test_a_clear_phase_is_found_with_its_muscles_and_weeks():
    (found,) = detect_phases(sets_with_phase(), np.ones(N, dtype=bool))
    assert found.muscles == ("m0", "m1")
    assert abs(found.first - 60) <= 1
    assert abs(found.last - 71) <= 1
    assert 1.8 < found.factor < 2.5


def test_a_deload_of_all_and_weeks_off_are_no_phase():
    sets = sets_with_phase(factor=1.0)
    ordinary = np.ones(N, dtype=bool)
    for values in sets.values():
        values[20:28] *= 0.5
        values[40:44] = 0.0
    ordinary[40:44] = False
    assert detect_phases(sets, ordinary) == ()


def test_what_the_journal_tells_is_not_proposed():
    told = np.zeros(N, dtype=bool)
    told[65] = True
    assert detect_phases(sets_with_phase(), np.ones(N, dtype=bool), told) == ()


def test_a_short_record_proposes_nothing():
    ordinary = np.zeros(N, dtype=bool)
    ordinary[:20] = True
    assert detect_phases(sets_with_phase(first=5, last=15), ordinary) == ()


def test_the_best_segment_is_that_of_trying_all():
    rng = np.random.default_rng(2)
    for _ in range(50):
        scores = rng.normal(-0.2, 1.0, 30)
        sums = [
            (scores[first:end].sum(), first, end)
            for first in range(30)
            for end in range(first + 1, 31)
        ]
        best, first, end = max(sums)
        found = max(find_segments(scores), key=lambda one: one[2])
        assert found == (first, end, pytest.approx(best))
