"""Weekly strength straight from the sets, before any smoothing.

Question: how strong was the lifter this week, all lifts together, compared with the weeks around
it? A smoothed level cannot answer that for a deload or a layoff: it bridges what is asked about.

Model (own derivation; two-way additive fit, the time-product dummy's form): the log strength of
a lift in a week is a lift effect plus a week effect. A lift effect holds for at most
``STINT_WEEKS`` weeks, staggered from lift to lift, so that slow growth that differs between lifts
does not become a jump when the lifts of a week change. The first weeks of a lift that is new or
was away for half a year are dropped: practice, not strength, rises there.

In: (m,) week, lift number and log of the estimated 1RM of each set. Out: (n_weeks,) log strength up
to a constant and a slow drift, and its weights. Assumes that lifts of one stint move alike from
week to week. It refuses nothing: a week without a usable set is nan.
"""

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints

STINT_WEEKS = 52
AWAY_WEEKS = 26
RUN_IN_WEEKS = 4
MOST_TURNS = 60
# A recorded reserve of 5 means "5 or more" (METHODS section a). Longer sets than a single level
# would be read from are let in, because a good week makes sets longer: a limit on repetitions in
# all at 12, where many sets end, drops those of good weeks and hides part of what is asked.
MOST_RESERVE, MOST_REPS = 4.5, 15.0


def can_be_read(reps: Floats, reserve: Floats) -> Bools:
    """(n_sets,) sets near enough to failure and short enough to compare weeks by.

    ``reserve`` is the recorded one, nan where none was; such a set cannot be read.
    """
    total = np.asarray(reps, dtype=np.float64) + np.asarray(reserve, dtype=np.float64)
    return (np.asarray(reserve) <= MOST_RESERVE) & (total <= MOST_REPS)


def fit_weekly_strength(
    set_week: Ints, set_lift: Ints, set_log_strength: Floats, n_weeks: int
) -> tuple[Floats, Floats]:
    """Week effects over all lifts, and how many sets carry each.

    Parameters
    ----------
    set_week, set_lift : (n_sets,) week number and lift number (a machine on new equipment is a
        new lift) of each set that may speak of strength: working sets, first segments, with
        recorded reserve.
    set_log_strength : (n_sets,) natural log of the estimated one-repetition maximum; nan ignored.
    n_weeks : weeks of the record.

    Returns
    -------
    (week_strength, weights), each (n_weeks,): log strength up to a constant (and a slow drift),
    nan in weeks without such sets; weights are lift-weeks, each counting n / (n + 1) of n sets.
    """
    week, lift, value, weight = _lift_weeks(set_week, set_lift, set_log_strength, n_weeks)
    strength: Floats = np.full(n_weeks, np.nan)
    if week.size == 0:
        return strength, np.zeros(n_weeks)
    stint = _number_stints(week, lift)
    keep = ~np.isnan(stint)
    week, value, weight = week[keep], value[keep], weight[keep]
    group = np.unique(stint[keep], return_inverse=True)[1].astype(np.int64)
    effects = _alternate(week, group, value, weight, n_weeks)
    total = np.bincount(week, weights=weight, minlength=n_weeks).astype(np.float64)
    strength[total > 0] = effects[total > 0]
    return strength, total


def _lift_weeks(
    set_week: Ints, set_lift: Ints, value: Floats, n_weeks: int
) -> tuple[Ints, Ints, Floats, Floats]:
    """Mean of each lift's sets in each week, ordered by lift and week."""
    known = np.isfinite(value)
    week = np.asarray(set_week, dtype=np.int64)[known]
    lift = np.asarray(set_lift, dtype=np.int64)[known]
    cell, member = np.unique(lift * n_weeks + week, return_inverse=True)
    count = np.bincount(member, minlength=cell.size).astype(np.float64)
    mean = np.bincount(member, weights=value[known], minlength=cell.size) / np.maximum(count, 1)
    return cell % n_weeks, cell // n_weeks, mean, count / (count + 1.0)


def _number_stints(week: Ints, lift: Ints) -> Floats:
    """Stint number of each lift-week; nan within the run-in. Ordered by lift, then week."""
    stint = np.empty(week.size)
    is_new = np.concatenate([[True], np.diff(lift) != 0])
    away = np.concatenate([[0], np.diff(week)])
    is_start = is_new | (away >= AWAY_WEEKS)
    start_at = np.maximum.accumulate(np.where(is_start, np.arange(week.size), 0))
    exposures = np.arange(week.size) - start_at
    # A lift that was there from the first weeks of the record is not new to the lifter.
    is_run_in = (exposures < RUN_IN_WEEKS) & (week[start_at] >= RUN_IN_WEEKS)
    phase = (lift * 17) % STINT_WEEKS
    spell = np.cumsum(is_start)
    stint[:] = spell * 10_000 + (week + phase) // STINT_WEEKS
    stint[is_run_in] = np.nan
    return stint


def _alternate(week: Ints, group: Ints, value: Floats, weight: Floats, n_weeks: int) -> Floats:
    """Week effects of the weighted two-way additive fit, by alternating weighted means."""
    by_week = np.maximum(np.bincount(week, weights=weight, minlength=n_weeks), 1e-12)
    by_group = np.maximum(np.bincount(group, weights=weight), 1e-12)
    effects = np.zeros(n_weeks)
    for _ in range(MOST_TURNS):
        own = np.bincount(group, weights=weight * (value - effects[week])) / by_group
        fresh = np.bincount(week, weights=weight * (value - own[group]), minlength=n_weeks)
        moved = fresh / by_week - effects
        effects = effects + moved
        if np.max(np.abs(moved)) < 1e-6:
            break
    return effects
