"""Deloads and layoffs on simulated careers: what the record gives the models, and their scores."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pipeline.models.pauses.deload import DeloadResponse, fit_deload_response
from pipeline.models.pauses.deload_detect import DeloadWeek, detect_deloads
from pipeline.models.pauses.layoff import (
    LEAST_WEEKS_OF_LOSS,
    Layoff,
    LayoffOutcome,
    LayoffResponse,
    find_layoffs,
    fit_layoffs,
)
from pipeline.models.pauses.layoff_regain import RegainByLength
from pipeline.models.simulate import Career
from pipeline.models.strength.rep_curve import log_factor
from pipeline.models.strength.weekly_strength import can_be_read, fit_weekly_strength
from pipeline.models.weeks import mask_after

USUAL_WEEKS = 26


@dataclass(frozen=True)
class LayoffScores:
    """One career's layoffs: each loss, and the return over all where there is a rule."""

    losses: tuple["LossScore", ...]
    regain: "RegainScore | None"


@dataclass(frozen=True)
class EffectScore:
    """One career's deload effect, percentage points; ``singles_held`` is the share of single
    deloads whose 95 % interval holds the planted effect, which is the same for all of a career."""

    error: float
    true: float
    is_held_90: bool
    called: int
    half_width: float
    singles_held: float


@dataclass(frozen=True)
class RegainScore:
    """Weeks to nine tenths for each week off: planted, found, held by the interval, bounded."""

    true: float
    found: float
    is_held_95: bool
    is_bounded: bool


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
    own = own & can_be_read(sets.reps, sets.rir)
    log_1rm = load[own] + log_factor(sets.reps[own] + sets.rir[own])
    return fit_weekly_strength(sets.week[own], lift[own], log_1rm, career.n_weeks)


def score_detection(career: Career) -> tuple[int, int, int]:
    """(found and true, found, true) deload weeks."""
    found = {deload.week for deload in find_deloads(career)}
    true = set(np.flatnonzero(career.truth.week_status == "deload").tolist())
    return len(found & true), len(found), len(true)


def score_effect(career: Career, weeks: Iterable[int] | None = None) -> EffectScore | None:
    """The deload effect against the planted one; None when refused.

    ``weeks``: the deload weeks as known to the reader; without them all that there were.
    """
    status = career.truth.week_status
    known = np.flatnonzero(status == "deload") if weeks is None else np.array(sorted(weeks))
    left_out = mask_after(status == "layoff")
    fitted = fit_deload_response(*measure_strength(career), known.astype(int), left_out)
    if not isinstance(fitted, DeloadResponse):
        return None
    true = career.truth.deload_effect_pct
    low, high = fitted.interval(0.90)
    clear_low, clear_high = fitted.interval(0.95)
    called = int(clear_low > 0) - int(clear_high < 0)
    singles = [one.low_pct <= true <= one.high_pct for one in fitted.events]
    return EffectScore(
        error=fitted.effect_pct - true,
        true=true,
        is_held_90=bool(low <= true <= high),
        called=called,
        half_width=(high - low) / 2.0,
        singles_held=float(np.mean(singles)),
    )


def score_layoffs(career: Career) -> LayoffScores:
    """Losses and returns against the planted ones of the lifts done on both sides."""
    strength, weights = measure_strength(career)
    strength[career.truth.week_status == "deload"] = np.nan
    has_sessions = np.bincount(career.sets.week, minlength=career.n_weeks) > 0
    unlogged = career.truth.week_status == "unlogged"
    fitted = fit_layoffs(strength, weights, find_layoffs(has_sessions, unlogged))
    if not isinstance(fitted, LayoffResponse):
        return LayoffScores((), None)
    losses = tuple(_score_loss(career, strength, one) for one in fitted.outcomes)
    if not isinstance(fitted.regain, RegainByLength):
        return LayoffScores(losses, None)
    true, own = _true_share(career, fitted), fitted.regain
    held = own.low <= true <= own.high
    regain = RegainScore(true, own.weeks_per_week, bool(held), bool(np.isfinite(own.high)))
    return LayoffScores(losses, regain)


def _score_loss(career: Career, strength, one: LayoffOutcome) -> LossScore:
    start, back = one.layoff.start_week, one.layoff.end_week + 1
    before = start - 5 + np.flatnonzero(np.isfinite(strength[start - 5 : start]))
    after = back + np.flatnonzero(np.isfinite(strength[back : back + 4]))[:2]
    true = _true_change(career, before, after)
    is_held = bool(one.low_pct <= true <= one.high_pct)
    return LossScore(one.layoff.weeks_off, true, one.loss_pct - true, is_held)


def _true_share(career: Career, fitted: LayoffResponse) -> float:
    """Planted weeks to nine tenths for each week off, layoffs weighed by what they cost."""
    weeks, off, cost = [], [], []
    for one in fitted.outcomes:
        if one.loss_pct < 0 and one.layoff.weeks_off >= LEAST_WEEKS_OF_LOSS:
            lost, back = _true_return(career, one.layoff)
            weeks.append(back)
            off.append(one.layoff.weeks_off)
            cost.append(max(lost, 0.0))
    return float(np.dot(weeks, cost) / max(np.dot(off, cost), 1e-9))


def _true_return(career: Career, layoff: Layoff) -> tuple[float, float]:
    """(loss in the first week back, log; weeks from the return to the middle of that in which
    nine tenths of it were back) of shown strength, in fractions of a week."""
    course = career.truth.shown_log.mean(axis=0)
    before = course[max(0, layoff.start_week - 5) : layoff.start_week].mean()
    below = before - course[layoff.end_week + 1 :]
    if below[0] <= 0:
        return 0.0, 0.0
    back = np.flatnonzero(below <= 0.1 * below[0])
    last = int(back[0]) if back.size else len(below) - 1
    step = (below[last - 1] - 0.1 * below[0]) / (below[last - 1] - below[last])
    return float(below[0]), last - 0.5 + float(step)


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
