"""A few simulated careers: deloads are found, their effect is not grossly wrong, layoffs neither.

``measure_deload`` prints the bars over many careers; these bounds fail on gross errors only.
"""

from functools import cache

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.pauses.deload import fit_deload_response
from pipeline.models.pauses.deload_checks import fit_fake_deloads
from pipeline.models.simulate import DELOAD_KINDS
from pipeline.models.weeks import mask_after
from tests.recovery.careers import careers
from tests.recovery.deload_cases import (
    measure_strength,
    score_detection,
    score_effect,
    score_layoffs,
)


@cache
def scored(**options):
    """Effect scores of the answered ones among six careers."""
    many = careers(6, 60, first_seed=80, with_nights=False, **options)
    scores = [score_effect(career) for career in many]
    assert sum(score is not None for score in scores) >= 0.8 * len(many)
    return [score for score in scores if score is not None]


@pytest.mark.parametrize("kind", DELOAD_KINDS)
def test_deload_weeks_are_found(kind):
    many = careers(2, 40, first_seed=80, with_nights=False, deload_kind=kind)
    both, found, true = np.sum([score_detection(career) for career in many], axis=0)
    print(f"{kind}: precision {both / found:.3f}, recall {both / true:.3f}")
    assert both / found >= 0.90
    assert both / true >= 0.80


def test_planted_effect_comes_back():
    scores = scored(has_deload_effect=True)
    error = np.array([score.error for score in scores])
    rmse, held = np.sqrt(np.mean(error**2)), np.mean([score.is_held_90 for score in scores])
    print(f"RMSE {rmse:.2f} points, bias {error.mean():.2f}, 90 % interval holds {held:.2f}")
    assert rmse < 0.8
    assert abs(error.mean()) < 0.5
    assert held >= 0.6
    assert not any(score.called == -np.sign(score.true) for score in scores)


@pytest.mark.parametrize("kind", ["planned", "after_bad_weeks"])
def test_no_effect_is_seldom_called(kind):
    """After bad weeks better ones follow anyway: a before-and-after would call most of these."""
    scores = scored(has_deload_effect=False, deload_kind=kind)
    called = sum(score.called != 0 for score in scores)
    print(f"{kind}: called {called} of {len(scores)} where none is planted")
    assert called <= 1 + 0.15 * len(scores)


def test_invented_dates_find_nothing():
    (career,) = careers(1, 1, first_seed=80, with_nights=False, has_deload_effect=True)
    status = career.truth.week_status
    weeks, left_out = np.flatnonzero(status == "deload"), mask_after(status == "layoff")
    fakes = fit_fake_deloads(*measure_strength(career), weeks, left_out, n_fakes=40)
    assert abs(np.mean(fakes.effects_pct)) < 0.4


def test_a_short_record_gets_no_verdict_on_deloads():
    (career,) = careers(1, 1, first_seed=80, with_nights=False, years=2.0)
    status = career.truth.week_status
    strength, weights = measure_strength(career)
    strength[: career.n_weeks * 3 // 4] = np.nan
    refusal = fit_deload_response(strength, weights, np.flatnonzero(status == "deload"))
    assert isinstance(refusal, Refusal)
    assert refusal.has < refusal.needs


def test_loss_on_return_comes_back():
    many = careers(4, 40, first_seed=900, with_nights=False, n_layoffs=6)
    scores = [score for career in many for score in score_layoffs(career).losses]
    error = np.array([score.error for score in scores])
    held = np.mean([score.is_held_95 for score in scores])
    print(f"{len(scores)} layoffs: bias {error.mean():.2f}, interval holds {held:.2f}")
    assert len(scores) >= 6
    assert abs(error.mean()) < 1.0
    assert held >= 0.8


def test_weeks_to_regain_come_back():
    options = {"with_nights": False, "n_layoffs": 6, "rir_recorded_from": 0.0}
    many = careers(6, 40, first_seed=900, **options)
    found = [score_layoffs(career).regain for career in many]
    known = [one for one in found if one is not None]
    ratio = np.mean([one.found for one in known]) / np.mean([one.true for one in known])
    held = np.mean([one.is_held_95 for one in known])
    print(f"{len(known)} rules: found over planted {ratio:.2f}, interval holds {held:.2f}")
    assert len(known) >= 2
    assert 0.5 < ratio < 2.0
    assert held >= 0.5
