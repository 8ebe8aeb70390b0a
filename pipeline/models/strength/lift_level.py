"""Level of one lift, week by week.

Question: how strong was the lifter on this lift in each week, fresh, and how sure is a change?
In: (m,) working sets in the order performed; week from 0, load moved in kg (body weight share
included), repetitions, reserve (nan where not recorded). Out: log kg of the estimated 1RM.

Method (METHODS a): local linear trend on sets adjusted for reserve, an offset for sets without
recorded reserve, the lifter's own repetition slope, a term for recent volume, in-session fatigue
by position; standard errors widened. Sums and variances in ``session_fit``.

Assumptions: unrecorded reserve is the same on average in all years; recorded reserve errs
without a trend (people under-predict by about one repetition: Halperin et al. 2022, read; that
much is added); strength moves smoothly except around gaps.
Refuses under ``MIN_WEEKS`` trained weeks.

The caller leaves out warm-ups, every segment after the first of a drop cluster, and doubted
sets: none of these may feed strength.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.smoothing.state_space import WeekPosterior
from pipeline.models.strength.rep_curve import (
    SLOPE_AT,
    SLOPE_RANGE,
    AdjustedSets,
    adjust_sets,
    estimate_reserve,
    reps_at,
)
from pipeline.models.strength.session_fit import SessionFit, fit_sessions
from pipeline.models.strength.session_sums import BorderPrior, SetRows
from pipeline.models.strength.set_terms import (
    LEVEL,
    POSITION,
    SEGMENT_PRIOR,
    SHARED_PRIORS,
    SLOPE,
    UNRECORDED,
    VOLUME,
    drift_variance,
    expected_moves,
    number_sessions,
    recent_volume,
    shared_columns,
)
from pipeline.models.weeks import normal_quantile

MIN_WEEKS = 6  # common practice, no published source
CARRY_WEEKS = 4  # a level is carried this far past the last set: kept about so long (memory)

# Widening of standard errors that gave the interval its coverage on simulated careers (METHODS a).
# 1.4 there, without passing form in the model; 1.3 and a slow drift with it, chosen by us and
# measured with these values (``python -m tests.recovery.measure_levels 200``, seeds 0 to 199).
SE_FACTOR = 1.3
DRIFT_SD = 0.006

# What no amount of sets removes from a level, beside the curve's own level: how far short recorded
# reserve falls differs between people (Halperin et al. 2022, read: 0.95 repetitions on average,
# 2.5 % at 8 to failure, computed). An assumption.
HEIGHT_SD = 0.02


@dataclass(frozen=True)
class LiftLevel:
    """Fitted level of one lift.

    level_log : (n_weeks,) log kg; nan before the first and ``CARRY_WEEKS`` after the last trained
        week. In units of the last equipment segment.
    se : (n_weeks,) standard error of the curve's course: level minus its mean over the record.
    height_se : standard error of that mean: what moves the whole curve up or down (own
        repetition slope, unrecorded reserve, ``HEIGHT_SD``). Changes and slopes are free of it.
    best_log : (n_weeks,) best adjusted set of each week, nan without sets.
    is_trained : (n_weeks,) weeks with a usable set.
    rep_slope, rep_slope_se, rep_level, rep_level_se : k and a of the own repetition curve
        (``rep_curve``), shrunk to the published 1 and -0.02; the error of a is that at k = 1.
    rir_offset, rir_offset_se : log difference of sets without recorded reserve (taken as 2);
        below 0 means that more was kept in reserve.
    n_sets_with_reserve : sets with recorded reserve; with none, the level itself rests on the
        assumed reserve, its change does not.
    volume_effect, volume_effect_se : log change for ten weekly sets above the usual.
    """

    level_log: Floats
    se: Floats
    height_se: float
    best_log: Floats
    is_trained: Bools
    rep_slope: float
    rep_slope_se: float
    rep_level: float
    rep_level_se: float
    rir_offset: float
    rir_offset_se: float
    volume_effect: float
    volume_effect_se: float
    session_sd: float
    n_weeks_trained: int
    n_sets: int
    n_sets_with_reserve: int
    posterior: WeekPosterior = field(repr=False)

    def level_interval(self, week: int, coverage: float = 0.95) -> tuple[float, float, float]:
        """e1RM of a week in kg with its interval: course and height of the curve together."""
        reach = float(normal_quantile(coverage) * np.hypot(self.se[week], self.height_se))
        level = float(self.level_log[week])
        return float(np.exp(level)), float(np.exp(level - reach)), float(np.exp(level + reach))

    def reps_at(self, percent: float, coverage: float = 0.90) -> tuple[float, float, float]:
        """Repetitions to failure at ``percent`` of the 1RM on the own curve, with interval."""
        gap = -np.log(percent / 100.0)
        h = (gap - self.rep_level) / self.rep_slope
        se = np.hypot(self.rep_level_se, (h - SLOPE_AT) * self.rep_slope_se)
        reach = normal_quantile(coverage) * se
        at = reps_at(gap + np.array([0.0, -reach, reach]), self.rep_slope, self.rep_level)
        reps, low, high = (float(value) for value in np.nan_to_num(at, nan=1.0))
        return reps, low, high

    def estimate_reserve(self, week: ArrayLike, load_kg: ArrayLike, reps: ArrayLike) -> Floats:
        """Repetitions left after sets (m,) of this lift, from the week's level; nan if unknown."""
        level = self.level_log[np.asarray(week, dtype=np.int64)]
        return estimate_reserve(level, load_kg, reps, self.rep_slope, self.rep_level)

    def changes(self, weeks: ArrayLike) -> tuple[Floats, Floats]:
        """(m, m) log change from row week to column week with its standard error (joint)."""
        estimate, se = self.posterior.changes(weeks)
        return estimate, np.sqrt((SE_FACTOR * se) ** 2 + drift_variance(weeks, DRIFT_SD))

    def change(self, week_a: int, week_b: int) -> tuple[float, float]:
        """Log change from week_a to week_b and its standard error."""
        estimate, se = self.changes([week_a, week_b])
        return float(estimate[0, 1]), float(se[0, 1])


def fit_lift_level(
    week: ArrayLike,
    load_kg: ArrayLike,
    reps: ArrayLike,
    rir: ArrayLike,
    *,
    n_weeks: int,
    session: ArrayLike | None = None,
    recent_sets: ArrayLike | None = None,
    segment: ArrayLike | None = None,
    is_loose: ArrayLike | None = None,
    age_years: float | None = None,
) -> LiftLevel | Refusal:
    """Fit the level of one lift.

    Parameters
    ----------
    week, load_kg, reps, rir : (m,) as above.
    n_weeks : length of the calendar.
    session : (m,) any id of the session; a week is one session where it is not given.
    recent_sets : (n_weeks,) weekly sets of the lift's muscles, for the volume term.
    segment : (m,) equipment segment (machines and cables: a new number at each change of gym).
    is_loose : (n_weeks,) weeks in which strength may move fast: declared injuries and layoffs.
    age_years : training age in the first week; None for a trained lifter.
    """
    at = np.asarray(week, dtype=np.int64)
    group = number_sessions(at, session)
    sets = adjust_sets(load_kg, reps, rir, group)
    trained = np.bincount(at[sets.row], minlength=n_weeks) > 0
    if trained.sum() < MIN_WEEKS:
        return Refusal(
            int(trained.sum()),
            MIN_WEEKS,
            "weeks with this lift",
            "more logged weeks of the lift",
            counted="weeks",
        )
    x, prior = _effects(sets, at, group, n_weeks, recent_sets, segment)
    rows = SetRows(
        at[sets.row],
        np.unique(group[sets.row], return_inverse=True)[1],
        sets.log_e1rm,
        x,
        sets.relative_var,
        sets.is_recorded,
        np.zeros(sets.row.size, np.int64) if segment is None else np.asarray(segment)[sets.row],
    )
    fit = fit_sessions(rows, prior, expected_moves(trained, is_loose, age_years))
    return _report(fit, rows, sets, trained)


def _effects(
    sets: AdjustedSets,
    week: Ints,
    group: Ints,
    n_weeks: int,
    recent_sets: ArrayLike | None,
    segment: ArrayLike | None,
) -> tuple[Floats, BorderPrior]:
    """The columns that all strength models share, then one for each earlier segment."""
    at = week[sets.row]
    volume = np.zeros(n_weeks) if recent_sets is None else recent_volume(recent_sets)
    columns = shared_columns(sets, volume, at, group[sets.row])
    priors = list(SHARED_PRIORS)
    parts = np.zeros(at.size) if segment is None else np.asarray(segment)[sets.row]
    for part in np.unique(parts)[np.unique(parts) != parts[-1]]:
        columns.append((parts == part).astype(float))
        priors.append(SEGMENT_PRIOR)
    mean, sd = np.array(priors).T
    return np.column_stack(columns), BorderPrior(mean, sd)


def _report(fit: SessionFit, rows: SetRows, sets: AdjustedSets, trained: Bools) -> LiftLevel:
    posterior = fit.posterior
    seen = np.flatnonzero(trained)
    shown = np.zeros(trained.size, dtype=bool)
    shown[seen[0] : seen[-1] + CARRY_WEEKS + 1] = True
    # A set of the same kind as the level: fatigue and volume stay in it, the rest is taken out.
    effect = np.where(np.isin(np.arange(rows.x.shape[1]), (VOLUME, POSITION)), 0, posterior.border)
    best = np.full(trained.size, -np.inf)
    np.maximum.at(best, rows.week, rows.y - rows.x @ effect)
    se = np.sqrt(np.diag(posterior.border_covariance))
    slope = float(np.clip(1.0 + posterior.border[SLOPE], *SLOPE_RANGE))
    course, height = posterior.around_mean(seen)
    return LiftLevel(
        level_log=np.where(shown, posterior.level, np.nan),
        se=np.where(shown, np.sqrt(SE_FACTOR**2 * course + DRIFT_SD**2), np.nan),
        height_se=float(np.hypot(SE_FACTOR * np.sqrt(height), HEIGHT_SD)),
        best_log=np.where(np.isfinite(best), best, np.nan),
        is_trained=trained,
        rep_slope=slope,
        rep_slope_se=float(se[SLOPE]),
        rep_level=float(posterior.border[LEVEL] - (slope - 1.0) * SLOPE_AT),
        rep_level_se=float(se[LEVEL]),
        rir_offset=float(posterior.border[UNRECORDED]),
        rir_offset_se=float(se[UNRECORDED]),
        volume_effect=float(posterior.border[VOLUME]),
        volume_effect_se=float(se[VOLUME]),
        session_sd=fit.session_sd[1] if rows.is_recorded.any() else fit.session_sd[0],
        n_weeks_trained=int(trained.sum()),
        n_sets=sets.row.size,
        n_sets_with_reserve=int(rows.is_recorded.sum()),
        posterior=posterior,
    )
