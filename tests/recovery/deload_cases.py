"""Deloads and layoffs on simulated careers: what the record gives the models, and their scores."""

from dataclasses import dataclass

import numpy as np

from pipeline.models.deload import DeloadResponse, fit_deload_response
from pipeline.models.deload_detect import DeloadWeek, detect_deloads
from pipeline.models.layoff import LayoffResponse, find_layoffs, fit_layoffs
from pipeline.models.rep_curve import log_factor
from pipeline.models.simulate import Career
from pipeline.models.weekly_strength import fit_weekly_strength
from pipeline.models.weeks import mask_after

USUAL_WEEKS = 26
MOST_REPS = 12


@dataclass(frozen=True)
class EffectScore:
    """One career's deload effect, percentage points."""

    error: float
    true: float
    is_held_90: bool
    called: int


@dataclass(frozen=True)
class LossScore:
    """One layoff: length, loss of the lifts' own strength, error, interval."""

    weeks_off: int
    true: float
    error: float
    is_held_95: bool


def read_working_sets(career: Career):
    """(mask of working first segments, lift number with equipment segment, log load moved)."""
    sets = career.sets
    kinds = np.array([one.equipment in ("machine", "cable") for one in career.exercises])
    lift = sets.exercise + len(career.exercises) * np.where(kinds[sets.exercise], sets.gym, 0)
    load = np.where(sets.load_moved_kg > 0, sets.load_moved_kg, np.nan)
    return ~sets.is_warmup & (sets.segment_no == 1), lift, np.log(load)


def find_deloads(career: Career) -> tuple[DeloadWeek, ...]:
    """Deloads by the rule alone: sets per session and loads against each lift's usual ones."""
    sets = career.sets
    own, lift, load = read_working_sets(career)
    week = sets.week[own]
    effort = load[own] + log_factor(sets.reps[own])
    relative = effort - _usual(week, lift[own], effort)
    session, member = np.unique(sets.session[own], return_inverse=True)
    session_week = np.zeros(session.size, dtype=np.int64)
    session_week[member] = week
    count = np.bincount(member)
    mean = np.exp(np.bincount(member, weights=np.nan_to_num(relative)) / count)
    has_sessions = np.bincount(sets.week, minlength=career.n_weeks) > 0
    return detect_deloads(session_week, count.astype(float), mean, career.n_weeks, has_sessions)


def measure_strength(career: Career):
    """Weekly strength and weights from sets with recorded reserve."""
    sets = career.sets
    own, lift, load = read_working_sets(career)
    total = sets.reps + np.nan_to_num(sets.rir)
    own = own & np.isfinite(sets.rir) & (sets.rir < 5) & (total <= MOST_REPS)
    log_1rm = load[own] + log_factor(total[own])
    return fit_weekly_strength(sets.week[own], lift[own], log_1rm, career.n_weeks)


def score_detection(career: Career) -> tuple[int, int, int]:
    """(found and true, found, true) deload weeks."""
    found = {deload.week for deload in find_deloads(career)}
    true = set(np.flatnonzero(career.truth.week_status == "deload").tolist())
    return len(found & true), len(found), len(true)


def score_effect(career: Career) -> EffectScore | None:
    """The deload effect against the planted one; None when refused."""
    status = career.truth.week_status
    fitted = fit_deload_response(
        *measure_strength(career),
        np.flatnonzero(status == "deload"),
        mask_after(status == "layoff"),
    )
    if not isinstance(fitted, DeloadResponse):
        return None
    true = career.truth.deload_effect_pct
    low, high = fitted.interval(0.90)
    clear_low, clear_high = fitted.interval(0.95)
    called = int(clear_low > 0) - int(clear_high < 0)
    return EffectScore(fitted.effect_pct - true, true, bool(low <= true <= high), called)


def score_layoffs(career: Career) -> list[LossScore]:
    """Losses against the planted ones of the lifts done in the weeks on both sides."""
    strength, weights = measure_strength(career)
    strength[career.truth.week_status == "deload"] = np.nan
    has_sessions = np.bincount(career.sets.week, minlength=career.n_weeks) > 0
    unlogged = career.truth.week_status == "unlogged"
    fitted = fit_layoffs(strength, weights, find_layoffs(has_sessions, unlogged))
    scores = []
    for one in fitted.outcomes if isinstance(fitted, LayoffResponse) else ():
        start, back = one.layoff.start_week, one.layoff.end_week + 1
        before = start - 5 + np.flatnonzero(np.isfinite(strength[start - 5 : start]))
        after = back + np.flatnonzero(np.isfinite(strength[back : back + 4]))[:2]
        true = _true_change(career, before, after)
        is_held = bool(one.low_pct <= true <= one.high_pct)
        scores.append(LossScore(one.layoff.weeks_off, true, one.loss_pct - true, is_held))
    return scores


def _true_change(career: Career, before, after) -> float:
    """Planted change, %, of lifts done on both sides, with what the muscles showed of fatigue."""
    week, lift = career.sets.week, career.sets.exercise
    both = np.intersect1d(lift[np.isin(week, before)], lift[np.isin(week, after)])
    level = career.truth.lift_level_log[both].mean(axis=0)
    shown = (career.truth.shown_log - career.truth.muscle_index_log).mean(axis=0)
    course = level + shown
    return float(100.0 * (course[after].mean() - course[before].mean()))


def _usual(week, lift, value):
    """Median of the lift's sets within ``USUAL_WEEKS`` around each set."""
    usual = np.full(len(value), np.nan)
    for one in np.unique(lift):
        own = np.flatnonzero((lift == one) & np.isfinite(value))
        own = own[np.argsort(week[own], kind="stable")]
        weeks, first = np.unique(week[own], return_index=True)
        start = np.searchsorted(week[own], weeks - USUAL_WEEKS // 2)
        stop = np.searchsorted(week[own], weeks + USUAL_WEEKS // 2, side="right")
        medians = [np.median(value[own[a:b]]) for a, b in zip(start, stop, strict=True)]
        usual[own] = np.repeat(medians, np.diff(np.append(first, own.size)))
    return usual
