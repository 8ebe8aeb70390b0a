"""Weekly trend fitted to sets that come in sessions: sums, noise variances, outlier weights.

Question: given sets on one log scale, what are the level of each week and the effects that all
weeks share, when sets of one session share their day's form, and nobody knows the variances?

    y = level[week] + x b + day + e,   day ~ (0, session_var),   e ~ (0, set_var relative_var)

Both variances differ between sets with and without a recorded reserve. Set variances come from
the spread within sessions; session variances and the two variances of the trend from the
marginal posterior (exact diffuse likelihood of ``smoothing.state_space``, log-normal priors below).
Sessions and sets far off get the weights of a Student t (``T_DEGREES``; Lange, Little, Taylor
1989: memory), so one bad day or typing error moves little. Everything in natural logs.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from pipeline.models.arrays import Floats
from pipeline.models.smoothing.state_space import WeekPosterior, solve_weeks, sum_weeks
from pipeline.models.smoothing.week_prior import WeekPrior, trend_form_prior
from pipeline.models.strength.session_sums import (
    T_DEGREES,
    BorderPrior,
    Sessions,
    SetRows,
    collapse,
    set_variances,
    weigh_sessions,
    with_within,
)

# Prior standard deviations, log scale, per session or per week, and by what factor they may
# plausibly be wrong (one standard deviation). A day's form of 2 % lies inside the published
# retest error of 4.2 % (Grgic 2020, read), which also holds the error of one set. The
# trend's two are assumptions: 0.15 % a week of wandering, and a yearly slope that changes by
# about 3 points within a year.
SESSION_SD = (0.02, 2.0)
LEVEL_SD = (0.0015, 1.7)
SLOPE_SD = (0.00008, 1.7)
# Form that passes within weeks (recent volume, stress, diet, sleep), shared by all sets of a week.
FORM_SD = (0.01, 2.0)
FIRST_SLOPE_SD = 0.01  # a week; half as much again a year, wide even for a beginner
FORM_CARRY = 0.8  # from week to week: half is gone after three weeks; an assumption

ROUNDS = 2  # of variances and outlier weights
MOST_STEPS = 60  # of the search for the variances; about 14 are needed

# How far each may go, in those factors. A day's form under 0.5 % would be finer than the steps of
# most plates, and form of more than 4 % that lasts for weeks is an event, not form: without the two
# bounds one lighter week in eight, in an otherwise even log, passes for form and hides the level.
LEAST = np.array([-2.0, -2.0, -4.0, -4.0, -4.0])
MOST = np.array([4.0, 4.0, 4.0, 4.0, 2.0])
CENTRES, FACTORS = np.array([SESSION_SD, SESSION_SD, LEVEL_SD, SLOPE_SD, FORM_SD]).T


@dataclass(frozen=True)
class Moves:
    """Where the trend may move faster than usual, both (n_weeks - 1,), one for each step:
    variance added to the level's step (layoffs, injuries), factor on the slope's sd (youth)."""

    loose_var: Floats
    slope_ratio: Floats

    @property
    def n_weeks(self) -> int:
        """Weeks of the calendar."""
        return self.loose_var.size + 1


@dataclass(frozen=True)
class SessionFit:
    """Posterior of weeks and effects; sd of a session and of a set, (unrecorded, recorded);
    weekly sd of level and slope, sd of form; (m,) residuals of the sets."""

    posterior: WeekPosterior
    session_sd: tuple[float, float]
    set_sd: tuple[float, float]
    level_sd: float
    slope_sd: float
    form_sd: float
    residual: Floats


def fit_sessions(rows: SetRows, prior: BorderPrior, moves: Moves) -> SessionFit:
    """Fit the sets; ``moves`` says where level and slope may change faster."""
    set_weight, session_weight = np.ones(rows.y.size), weigh_sessions(rows)
    log_sd = np.log(CENTRES)
    for left in reversed(range(ROUNDS)):
        table = collapse(rows, set_weight, session_weight)
        set_var = set_variances(table, prior)
        problem = _Problem(table, set_var, prior, moves)
        fit = problem.solve(log_sd)
        log_sd = problem.find_sds(fit.border, log_sd)
        fit = problem.solve(log_sd)
        residual = rows.y - fit.seen[rows.week] - rows.x @ fit.border
        if left:
            set_weight, session_weight = _weights(rows, table, residual, set_var, log_sd)
    sd = np.exp(log_sd)
    return SessionFit(
        posterior=fit,
        session_sd=(float(sd[0]), float(sd[1])),
        set_sd=(float(np.sqrt(set_var[0])), float(np.sqrt(set_var[1]))),
        level_sd=float(sd[2]),
        slope_sd=float(sd[3]),
        form_sd=float(sd[4]),
        residual=residual,
    )


@dataclass(frozen=True)
class _Problem:
    """Collapsed sets with everything but the five standard deviations (log_sd) that are found:
    session without and with recorded reserve, weekly step of level and of slope, form."""

    table: Sessions
    set_var: Floats
    prior: BorderPrior
    moves: Moves

    def find_sds(self, border: Floats, start: Floats) -> Floats:
        """Most plausible log_sd with the border effects held at ``border``."""
        centre, spread = np.log(CENTRES), np.log(FACTORS)
        y = self.table.y - self.table.x @ border
        scale = self._scale()

        def loss(u: Floats) -> tuple[float, Floats]:
            z = u / scale
            log_sd = centre + spread * z
            sums = sum_weeks(self.table.week, y, self._variance(log_sd), self.moves.n_weeks)
            weeks = self._weeks(log_sd)
            fit = solve_weeks(weeks, sums)
            value = 0.5 * float(z @ z) - fit.log_likelihood
            return value, (z - spread * self._gradient(log_sd, fit, y, weeks)) / scale

        result = minimize(
            loss,
            scale * (start - centre) / spread,
            jac=True,
            method="L-BFGS-B",
            bounds=list(zip(LEAST * scale, MOST * scale, strict=True)),
            options={"maxiter": MOST_STEPS, "ftol": 1e-9},
        )
        return np.asarray(centre + spread * result.x / scale)

    def _scale(self) -> Floats:
        """About the root of the loss's curvature by each z, so that every step is well aimed.

        Half the sessions of a kind for theirs, a twentieth of all for form (its weeks hang
        together), little beyond the prior's 1 for the trend's two: computed on simulated careers
        (seeds not recorded).
        """
        sessions = np.bincount(self.table.kind, minlength=2)
        own = 0.5 * sessions * np.log(FACTORS[:2]) ** 2
        return np.sqrt(1.0 + np.array([*own, 2.0, 2.0, sessions.sum() / 20.0]))

    def _gradient(self, log_sd: Floats, fit: WeekPosterior, y: Floats, weeks: WeekPrior) -> Floats:
        """Derivative of the log likelihood by each log sd.

        Fisher's identity (memory): the expected derivative, over the posterior of the states, of
        the log density that states and measurements have together. For a variance v of something
        whose mean square is s that is (s / v - 1) / 2 by log v.
        """
        table, size = self.table, np.exp(2.0 * log_sd)
        variance = self._variance(log_sd)
        square = (y - fit.seen[table.week]) ** 2 + fit.seen_variance()[table.week]
        own = (square / variance - 1.0) * size[:2][table.kind] * table.scale / variance
        level, slope, form = fit.step_moments(weeks.transition)
        step = size[2] + self.moves.loose_var
        passing = size[4] * (1.0 - FORM_CARRY**2)
        first = fit.mean[2] ** 2 + fit.state_covariance[2, 2, 0]
        return np.array(
            [
                own[table.kind == 0].sum(),
                own[table.kind == 1].sum(),
                ((level / step - 1.0) * size[2] / step).sum(),
                (slope / (size[3] * self.moves.slope_ratio**2) - 1.0).sum(),
                (form / passing - 1.0).sum() + first / size[4] - 1.0,
            ]
        )

    def solve(self, log_sd: Floats) -> WeekPosterior:
        """Posterior of weeks and border effects."""
        sums = sum_weeks(
            self.table.week,
            self.table.y,
            self._variance(log_sd),
            self.moves.n_weeks,
            self.table.x,
        )
        sums = with_within(sums, self.table, self.set_var)
        return solve_weeks(self._weeks(log_sd), sums, self.prior.mean, 1.0 / self.prior.sd**2)

    def _variance(self, log_sd: Floats) -> Floats:
        """(c,) variance of each session's mean."""
        kind = self.table.kind
        own = self.set_var[kind] * self.table.inverse_n
        return (np.exp(2.0 * log_sd[:2])[kind] + own) * self.table.scale

    def _weeks(self, log_sd: Floats) -> WeekPrior:
        level, slope, form = np.exp(2.0 * log_sd[2:])
        step = level + self.moves.loose_var
        turn = slope * self.moves.slope_ratio**2
        return trend_form_prior(step, turn, float(form), FORM_CARRY, FIRST_SLOPE_SD**2)


def _weights(
    rows: SetRows, table: Sessions, residual: Floats, set_var: Floats, log_sd: Floats
) -> tuple[Floats, Floats]:
    """Student t weights of sets around their session and of sessions around the trend."""
    c = table.y.size
    day = np.bincount(rows.session, residual / rows.relative_var, c) * table.inverse_n
    v = np.exp(2.0 * log_sd[:2])[table.kind] + set_var[table.kind] * table.inverse_n
    session_weight = (T_DEGREES + 1.0) / (T_DEGREES + day**2 / v)
    own_var = set_var[table.kind][rows.session] * rows.relative_var
    z2 = (residual - day[rows.session]) ** 2 / own_var
    return (T_DEGREES + 1.0) / (T_DEGREES + z2), session_weight
