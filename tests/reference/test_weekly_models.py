"""Weekly sets, deloads and layoffs against published values and other libraries.

Status words as in the project's list of check values: read, computed, second-hand, memory.
"""

import numpy as np
import pytest

from pipeline.models.pauses import deload_regression
from pipeline.models.pauses.layoff import Layoff, fit_layoffs
from pipeline.models.strength.weekly_strength import fit_weekly_strength
from pipeline.models.volume import response_curve
from pipeline.models.volume.joint import JointMuscle, find_joint_map, linearise_all
from pipeline.models.volume.noise import Whitener
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.weeks import pair_blocks


def test_default_growth_is_the_log_time_law():
    """Strength linear in ln(weeks), 30-50 % in year 1 (Steele et al. 2023, read): with 35 % at 52
    weeks the growth rate five years in is ln(1.35) / ln(52) / 5 = 1.52 % a year (computed)."""
    rate = 100.0 * np.log(1.35) / np.log(52.0) / 5.0
    prior = VolumePrior(centre_sets=12.0, spread_sets=3.0)
    assert prior.growth_pct_year == pytest.approx(rate, abs=0.05)
    # and the law's shape: half the rate at twice the training age (computed)
    values = prior.values(np.zeros(response_curve.N_VALUES))
    at_5, at_10 = (response_curve.response_at(values, age, 12.0) for age in (5.0, 10.0))
    assert at_5 / at_10 == pytest.approx(2.0)


def test_weekly_strength_is_the_time_product_dummy_on_a_swap():
    """Three lifts, the third entering later: 1, 1.01833197, 1.03953496, 1.06890600 (computed)."""
    load = {
        0: (100.0, 102.0, 104.0, 106.0),
        1: (60.0, 61.0, 63.0, 64.0),
        2: (None, None, 80.0, 84.0),
    }
    rows = [(w, lift, kg) for lift, row in load.items() for w, kg in enumerate(row) if kg]
    week, lift, kg = (np.array(column) for column in zip(*rows, strict=True))
    strength, _ = fit_weekly_strength(week, lift, np.log(kg), 4)
    index = np.exp(strength - strength[0])
    np.testing.assert_allclose(index, [1.0, 1.01833197, 1.03953496, 1.06890600], atol=2e-5)


def test_deload_regression_equals_statsmodels(monkeypatch):
    """Weighted least squares with clustered errors, as statsmodels computes them (computed)."""
    import statsmodels.api as sm

    monkeypatch.setattr(deload_regression, "LATER_SPREAD", 1e3)
    monkeypatch.setattr(deload_regression, "WIDENING", 1.0)
    rng = np.random.default_rng(0)
    strength = 0.01 * rng.standard_normal(300)
    weights = rng.uniform(1.0, 4.0, 300)
    weeks = np.flatnonzero(rng.random(280) < 0.12)
    strength[weeks] = np.nan
    rows, columns = deload_regression.lay_out(strength, weights, weeks, None)
    effect = deload_regression.regress(rows, columns)
    design = deload_regression.lay_design(rows, columns)
    quarter = rows.week // deload_regression.CLUSTER_WEEKS
    fit = sm.WLS(rows.rise, design, weights=rows.weight).fit(
        cov_type="cluster",
        cov_kwds={"groups": quarter, "use_correction": False},
    )
    n_clusters = np.unique(quarter).size
    np.testing.assert_allclose(effect.coefficients, fit.params, atol=1e-8)
    assert effect.value == pytest.approx(fit.params[0])
    assert effect.se == pytest.approx(fit.bse[0] * np.sqrt(n_clusters / (n_clusters - 1)), rel=1e-6)


def test_most_probable_response_is_scipys():
    """The climb ends where a general minimiser ends, on the same posterior (computed)."""
    from scipy.optimize import minimize

    rng = np.random.default_rng(1)
    n_weeks = 420
    age = 4.0 + np.arange(n_weeks) / 52.1775
    sets = np.repeat(12.0 * np.exp(rng.normal(0.0, 0.4, n_weeks // 14)), 14)
    growth = 0.02 * 5.0 / age * (1.0 - 1.2 * ((sets - 14.0) / 14.0) ** 2) / 52.1775
    pairs = pair_blocks(np.ones(n_weeks, dtype=bool), 7, 4)
    design = response_curve.VolumeDesign(
        change=pairs.growth @ growth + 0.002 * rng.standard_normal(pairs.n_pairs),
        growth=pairs.growth,
        sets=sets,
        age=age,
        energy=np.zeros(n_weeks),
        recent=np.zeros(pairs.n_pairs),
        weight=np.zeros(pairs.n_pairs),
    )
    prior = VolumePrior(centre_sets=12.0, spread_sets=3.0)
    slot = (pairs.start_week + pairs.end_week) / 14.0
    found = find_joint_map([JointMuscle(design, slot, prior)], response_curve.POWER)
    whitener = Whitener([slot], found.noise)

    def cost(scores):
        (residual,), _ = linearise_all([JointMuscle(design, slot, prior)], scores)
        inner = whitener.gram([residual[:, None]])[0, 0]
        return response_curve.POWER * inner / 2 + scores @ scores / 2

    best = minimize(cost, np.zeros(found.scores.size), method="BFGS", options={"gtol": 1e-7})
    np.testing.assert_allclose(found.scores, best.x, atol=0.01)


def test_published_break_and_regain_read_as_published():
    """Comparison: ten weeks off, level back in five (Halonen et al. 2024, read, novices), with
    -7 to -12 % lost at 8-12 weeks (Mujika and Padilla 2000, memory). A course made to those
    figures comes out as them."""
    off = Layoff(100, 109)
    back = np.arange(200 - 110)
    strength = 0.003 * np.random.default_rng(2).standard_normal(200)
    tau = 5.0 / np.log(10.0)
    strength[110:] -= 0.095 * np.exp(-(back + 0.5) / tau)
    strength[100:110] = np.nan
    outcome = fit_layoffs(strength, np.ones(200), (off,)).outcomes[0]
    first_fortnight = 9.5 * np.mean(np.exp(-(back[:2] + 0.5) / tau))
    assert outcome.loss_pct == pytest.approx(-first_fortnight, abs=1.0)
    assert outcome.weeks_to_regain == pytest.approx(5.0, abs=1.0)
    assert outcome.regain_low <= 5.0 <= outcome.regain_high
