"""Gain and cost of priority phases, and phases found from weekly sets, on cases made by hand."""

import itertools

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.priority.blocks import BLOCK_COST, MOST_AWAY, cut_blocks
from pipeline.models.priority.detect import LEAST_USUAL as LEAST_ORDINARY_WEEKS
from pipeline.models.priority.detect import MOST_BESIDE, choose_runs, detect_phases
from pipeline.models.priority.gain import LEAST_USUAL, LEAST_WEEKS, fit_priority
from pipeline.models.priority.ledger import PriorityWeeks
from pipeline.models.priority.runs import Run
from pipeline.models.priority.windows import Phase, find_usual, find_windows
from pipeline.models.volume.answer import N_DRAWS, ResponseNoise, VolumeResponse
from pipeline.models.volume.response_curve import VolumePrior, response_at
from pipeline.models.weeks import WEEKS_PER_YEAR, Blocks

N = 120
PHASE = Phase(60, 69, ("calves",))
NONE = np.zeros(0)
NAMES = [f"m{n}" for n in range(10)]
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


def detect(sets, is_ordinary=None, told=None, is_trained=None):
    """Phases of ten muscles, each with a lift of its own."""
    every = np.ones(sets.shape[1], dtype=bool)
    trained = every if is_trained is None else is_trained
    ordinary = trained if is_ordinary is None else is_ordinary
    return detect_phases(NAMES, sets, np.eye(len(NAMES)), trained, ordinary, told)


def sets_with_phase(factor=2.2, first=60, last=71, held=0.5):
    """Ten muscles at twelve sets or so, a new programme every six weeks; in the phase two of them
    at ``factor`` times their sets and two at ``held`` times."""
    rng = np.random.default_rng(1)
    drift = np.repeat(rng.normal(0.0, 0.1, (10, N // 6)), 6, axis=1)
    plan = 12.0 * np.exp(drift)
    plan[:2, first : last + 1] *= factor
    plan[2:4, first : last + 1] *= held
    return np.round(plan) - (rng.random(plan.shape) < 0.06)


def test_a_clear_phase_is_found_with_its_muscles_and_weeks():
    (found,) = detect(sets_with_phase())
    assert found.muscles == ("m0", "m1")
    assert (found.first, found.last) == (60, 71)
    assert 1.6 < found.factor < 2.2


def test_more_sets_that_stay_are_no_phase():
    sets = sets_with_phase(last=N - 1)
    assert detect(sets) == ()


def test_a_deload_of_all_and_weeks_off_are_no_phase():
    sets = sets_with_phase(factor=1.0, held=1.0)
    sets[:, 20:28] *= 0.5
    sets[:, 40:44] = 0.0
    trained = np.ones(N, dtype=bool)
    trained[40:44] = False
    assert detect(sets, is_trained=trained) == ()


def test_weeks_off_at_an_end_are_shared_out_in_halves():
    sets, trained = sets_with_phase(), np.ones(N, dtype=bool)
    trained[70:74] = False
    sets[:, 70:74] = 0.0
    (found,) = detect(sets, is_trained=trained)
    assert (found.first, found.last) == (60, 71)


def test_a_layoff_beside_a_phase_is_not_part_of_it():
    sets, trained = sets_with_phase(), np.ones(N, dtype=bool)
    trained[72:90] = False
    sets[:, 72:90] = 0.0
    (found,) = detect(sets, is_trained=trained)
    assert (found.first, found.last) == (60, 71 + MOST_BESIDE)


def test_what_the_journal_tells_is_not_proposed():
    told = np.zeros(N, dtype=bool)
    told[65] = True
    assert detect(sets_with_phase(), told=told) == ()


def test_a_short_record_proposes_nothing():
    ordinary = np.zeros(N, dtype=bool)
    ordinary[: LEAST_ORDINARY_WEEKS - 1] = True
    assert detect(sets_with_phase(first=6, last=17), is_ordinary=ordinary) == ()


def test_blocks_are_those_of_trying_all_cuts():
    rng = np.random.default_rng(2)
    n = 9
    for _ in range(20):
        sets = np.repeat(rng.integers(2, 9, (6, 3)), 3, axis=1) + rng.integers(-1, 2, (6, n))

        def cost(cuts, sets=sets):
            parts = [sets[:, a:b] for a, b in itertools.pairwise(cuts)]
            away = [np.abs(one - np.median(one, axis=1, keepdims=True)) for one in parts]
            return BLOCK_COST * len(parts) + sum(np.minimum(a, MOST_AWAY).sum() for a in away)

        inner = itertools.product((False, True), repeat=n - 1)
        tried = [(0, *(k + 1 for k in range(n - 1) if cut[k]), n) for cut in inner]
        assert cost(cut_blocks(sets)) == pytest.approx(min(map(cost, tried)))


def test_of_runs_that_touch_the_better_sum_is_chosen():
    def run(start, stop):
        return Run(start, stop, (0,), *np.zeros(10))

    runs = [run(0, 3), run(3, 5), run(4, 6)]
    chosen = choose_runs(runs, np.array([0.9, 0.8, 0.7]))
    assert [(one.start, one.stop) for one in chosen] == [(0, 3), (4, 6)]
    assert choose_runs(runs, np.array([0.4, 0.3, 0.2])) == []
    assert choose_runs([], np.zeros(0)) == []
