"""Weekly trend fitted to sets that come in sessions: sums, noise variances, outlier weights.

Question: given sets on one log scale, what are the level of each week and the effects that all
weeks share, when sets of one session share their day's form, and nobody knows the variances?

    y = level[week] + x b + day + e,   day ~ (0, session_var),   e ~ (0, set_var relative_var)

Both variances differ between sets with and without a recorded reserve. Set variances come from
the spread within sessions; session variances and the two variances of the trend from the
marginal posterior (exact diffuse likelihood of ``state_space`` with the log-normal priors below).
Sessions and sets far off get the weights of a Student t (``T_DEGREES``; Lange, Little, Taylor
1989: memory), so one bad day or typing error moves little. Everything in natural logs.
"""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from pipeline.models.state_space import (
    LOG_2PI,
    WeekPosterior,
    WeekSums,
    solve_weeks,
    sum_by,
    sum_weeks,
)
from pipeline.models.week_prior import WeekPrior, trend_form_prior

Array = NDArray[np.float64]

T_DEGREES = 5.0

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
SET_SD = 0.02  # stands in, with SET_DEGREES degrees of freedom, where few sessions have two sets
SET_DEGREES = 10.0

CENTRES, FACTORS = np.array([SESSION_SD, SESSION_SD, LEVEL_SD, SLOPE_SD, FORM_SD]).T


@dataclass(frozen=True)
class SetRows:
    """Sets to fit, all (m,): week and session (ints; a session lies in one week), log value,
    (m, b) effects, variance relative to a set of few repetitions, recorded reserve."""

    week: NDArray[np.int64]
    session: NDArray[np.int64]
    y: Array
    x: Array
    relative_var: Array
    is_recorded: NDArray[np.bool_]


@dataclass(frozen=True)
class BorderPrior:
    """Independent normal prior of the shared effects: (b,) mean and sd."""

    mean: Array
    sd: Array


@dataclass(frozen=True)
class Moves:
    """Where the trend may move faster than usual, both (n_weeks - 1,), one for each step:
    variance added to the level's step (layoffs, injuries), factor on the slope's sd (youth)."""

    loose_var: Array
    slope_ratio: Array

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
    residual: Array


class _Within(NamedTuple):
    """Cross products within sessions, degrees of freedom, log determinant of the variances."""

    gram: Array
    gram_y: Array
    y_y: float
    free: float
    log_var: float


@dataclass(frozen=True)
class _Sessions:
    """Sets collapsed to (c,) sessions, with what is left within them."""

    week: NDArray[np.int64]
    kind: NDArray[np.int64]
    y: Array
    x: Array
    inverse_n: Array
    scale: Array
    within: tuple[_Within, ...]


def fit_sessions(rows: SetRows, prior: BorderPrior, moves: Moves, rounds: int = 2) -> SessionFit:
    """Fit the sets; ``moves`` says where level and slope may change faster."""
    set_weight, session_weight = np.ones(rows.y.size), None
    log_sd = np.log(CENTRES)
    for left in reversed(range(rounds)):
        table = _collapse(rows, set_weight, session_weight)
        set_var = _set_variances(table, prior)
        problem = _Problem(table, set_var, prior, moves)
        fit = problem.solve(log_sd)
        log_sd = problem.find_sds(fit.border, log_sd, 5 if left else 10)
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


def _collapse(rows: SetRows, set_weight: Array, session_weight: Array | None) -> _Sessions:
    """Weighted session means (information on the level) and deviations within (on effects)."""
    c = int(rows.session.max()) + 1
    w = set_weight / rows.relative_var
    n = np.bincount(rows.session, w, c)
    mean_y = np.bincount(rows.session, w * rows.y, c) / n
    mean_x = sum_by(rows.session, rows.x * w[:, None], c) / n[:, None]
    recorded = np.bincount(rows.session, w * rows.is_recorded, c) / n
    kind = (recorded > 0.5).astype(np.int64)
    week = np.zeros(c, dtype=np.int64)
    week[rows.session] = rows.week
    dev_y, dev_x = rows.y - mean_y[rows.session], rows.x - mean_x[rows.session]
    within = tuple(
        _within(dev_y[k], dev_x[k], w[k], np.unique(rows.session[k]).size)
        for k in (kind[rows.session] == 0, kind[rows.session] == 1)
    )
    scale = np.ones(c) if session_weight is None else 1.0 / session_weight
    return _Sessions(week, kind, mean_y, mean_x, 1.0 / n, scale, within)


def _within(dev_y: Array, dev_x: Array, w: Array, n_sessions: int) -> _Within:
    weighted = dev_x * w[:, None]
    free = float(dev_y.size - n_sessions)
    return _Within(
        dev_x.T @ weighted,
        weighted.T @ dev_y,
        float(w @ dev_y**2),
        free,
        float(-np.log(w).sum()),
    )


def _set_variances(table: _Sessions, prior: BorderPrior) -> Array:
    """Set variance without and with recorded reserve, shrunk to ``SET_SD``."""
    values = []
    for gram, gram_y, y_y, free, _ in table.within:
        ridge = gram + np.diag((SET_SD / prior.sd) ** 2)
        target = gram_y + (SET_SD / prior.sd) ** 2 * prior.mean
        b = np.linalg.solve(ridge, target) if gram_y.size else gram_y
        rss = max(float(y_y - 2.0 * b @ gram_y + b @ gram @ b), 0.0)
        values.append((rss + SET_DEGREES * SET_SD**2) / (free + SET_DEGREES))
    return np.array(values)


@dataclass(frozen=True)
class _Problem:
    """Collapsed sets with everything but the five standard deviations (log_sd) that are found:
    session without and with recorded reserve, weekly step of level and of slope, form."""

    table: _Sessions
    set_var: Array
    prior: BorderPrior
    moves: Moves

    def find_sds(self, border: Array, start: Array, steps: int) -> Array:
        """Most plausible log_sd with the border effects held at ``border``."""
        centre, spread = np.log(CENTRES), np.log(FACTORS)
        y = self.table.y - self.table.x @ border

        def loss(z: Array) -> float:
            log_sd = centre + spread * z
            sums = sum_weeks(self.table.week, y, self._variance(log_sd), self.moves.n_weeks)
            return 0.5 * float(z @ z) - solve_weeks(self._weeks(log_sd), sums).log_likelihood

        result = minimize(
            loss,
            (start - centre) / spread,
            method="L-BFGS-B",
            bounds=[(-4.0, 4.0)] * centre.size,
            options={"maxiter": steps, "ftol": 1e-6, "eps": 1e-3},
        )
        return centre + spread * result.x

    def solve(self, log_sd: Array) -> WeekPosterior:
        """Posterior of weeks and border effects."""
        sums = sum_weeks(
            self.table.week,
            self.table.y,
            self._variance(log_sd),
            self.moves.n_weeks,
            self.table.x,
        )
        sums = _with_within(sums, self.table, self.set_var)
        return solve_weeks(self._weeks(log_sd), sums, self.prior.mean, 1.0 / self.prior.sd**2)

    def _variance(self, log_sd: Array) -> Array:
        """(c,) variance of each session's mean."""
        kind = self.table.kind
        own = self.set_var[kind] * self.table.inverse_n
        return (np.exp(2.0 * log_sd[:2])[kind] + own) * self.table.scale

    def _weeks(self, log_sd: Array) -> WeekPrior:
        level, slope, form = np.exp(2.0 * log_sd[2:])
        step = level + self.moves.loose_var
        turn = slope * self.moves.slope_ratio**2
        return trend_form_prior(step, turn, float(form), FORM_CARRY, FIRST_SLOPE_SD**2)


def _with_within(sums: WeekSums, table: _Sessions, set_var: Array) -> WeekSums:
    gram, gram_y, y_y, log_norm = sums.gram, sums.gram_y, sums.y_y, sums.log_norm
    for (g, g_y, yy, free, log_w), var in zip(table.within, set_var, strict=True):
        gram, gram_y, y_y = gram + g / var, gram_y + g_y / var, y_y + yy / var
        log_norm += free * (np.log(var) + LOG_2PI) + log_w
    return replace(sums, gram=gram, gram_y=gram_y, y_y=y_y, log_norm=float(log_norm))


def _weights(
    rows: SetRows, table: _Sessions, residual: Array, set_var: Array, log_sd: Array
) -> tuple[Array, Array]:
    """Student t weights of sets around their session and of sessions around the trend."""
    c = table.y.size
    day = np.bincount(rows.session, residual / rows.relative_var, c) * table.inverse_n
    v = np.exp(2.0 * log_sd[:2])[table.kind] + set_var[table.kind] * table.inverse_n
    session_weight = (T_DEGREES + 1.0) / (T_DEGREES + day**2 / v)
    own_var = set_var[table.kind][rows.session] * rows.relative_var
    z2 = (residual - day[rows.session]) ** 2 / own_var
    return (T_DEGREES + 1.0) / (T_DEGREES + z2), session_weight
