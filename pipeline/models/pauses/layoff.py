"""Layoffs: what was lost on return, and how long it took to come back.

Question: after weeks without training, how far below the weeks before did strength stand, and
when was it back? Read from raw weekly strength (``fit_weekly_strength``), never from a smoothed
level, which draws a bridge across the gap.

Model (own derivation): before = weighted mean of the last ``WEEKS_BEFORE`` logged weeks; loss =
before less the weighted mean of the first ``WEEKS_BACK`` logged weeks after; noise of a week from
the record's own week-to-week scatter. Coming back: ``layoff_regain``.
Published values to stand beside it: maximal force falls with time off (Bosquet et al. 2013, read);
ten weeks off regained in five (Halonen et al. 2024, read, novices); three weeks off cost -2 to
+1 % in the bench press (Ogasawara et al., read).

Assumes that the first weeks back show the loss, and that strength before and after is read from
lifts that went on alike.

It refuses a layoff without logged weeks on both sides, and a law of loss against length below
``LEAST_LAYOFFS``; every single loss is still given with its interval.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.pauses.layoff_noise import Noise, fit_noise
from pipeline.models.pauses.layoff_regain import RegainByLength, Return, fit_regain, regain_of
from pipeline.models.weeks import find_runs, t_quantile

LEAST_WEEKS_OFF = 2
LEAST_LAYOFFS = 3
# One return is drawn by itself; a rule over lengths needs a second. Below four weeks off there is
# hardly a loss (three weeks cost -2 to +1 % in the bench press, read), only noise that passes.
LEAST_RETURNS, LEAST_WEEKS_OF_LOSS = 2, 4
WEEKS_BEFORE, WEEKS_BACK = 5, 2
# The return is followed for twice the time off: longer, and ordinary growth would speak.
LEAST_REGAIN, LONGEST_REGAIN = 8, 26
# Weeks from the middle of the weeks before to the first week off.
MIDDLE_BEFORE = WEEKS_BEFORE / 2.0


@dataclass(frozen=True)
class Layoff:
    """Weeks ``start_week`` to ``end_week`` (inclusive) known to be without training."""

    start_week: int
    end_week: int

    @property
    def weeks_off(self) -> int:
        """Length in weeks."""
        return self.end_week - self.start_week + 1


@dataclass(frozen=True)
class LayoffOutcome:
    """One layoff's loss and return.

    Attributes
    ----------
    layoff : the weeks.
    loss_pct, low_pct, high_pct : change on return against before, %, negative when weaker; 95 %.
    se_pct : its standard error.
    weeks_to_regain : weeks until 90 % of the loss was back, with what the noise cannot exclude
        (``regain_low``, ``regain_high``). inf where that lies beyond the weeks read: not seen is
        not extrapolated. None when no loss beyond the noise was seen: then there is nothing to
        come back from.
    """

    layoff: Layoff
    loss_pct: float
    low_pct: float
    high_pct: float
    se_pct: float
    weeks_to_regain: float | None
    regain_low: float | None
    regain_high: float | None


@dataclass(frozen=True)
class LossByLength:
    """Loss against weeks off over several layoffs: loss = slope x weeks off, through zero.

    Attributes
    ----------
    pct_per_week, low, high : slope with 95 % interval; spread between layoffs included.
    longest_weeks : longest layoff behind it; the line says nothing beyond.
    n : layoffs.
    """

    pct_per_week: float
    low: float
    high: float
    longest_weeks: int
    n: int


@dataclass(frozen=True)
class LayoffResponse:
    """All layoffs of a record.

    Attributes
    ----------
    outcomes : those with logged weeks on both sides, in order of time.
    n_of : layoffs in the record.
    by_length : the law over layoffs, or why there is none.
    regain : weeks to nine tenths for each week off, or why there is none.
    """

    outcomes: tuple[LayoffOutcome, ...]
    n_of: int
    by_length: LossByLength | Refusal
    regain: RegainByLength | Refusal


def find_layoffs(
    week_has_sessions: Bools, is_unlogged: Bools, least_weeks: int = LEAST_WEEKS_OFF
) -> tuple[Layoff, ...]:
    """Runs of at least ``least_weeks`` known weeks without sessions, between trained weeks.

    Whether a week without sessions was a week off (known) or simply not written down is the
    caller's to say: a run that touches an unlogged week is no layoff, since its length and what
    was done in it are not known.
    """
    has_sessions = np.asarray(week_has_sessions, dtype=bool)
    layoffs = []
    for start, stop in find_runs(~has_sessions):
        is_inside = start > 0 and stop < len(has_sessions)
        if is_inside and stop - start >= least_weeks and not np.any(is_unlogged[start:stop]):
            layoffs.append(Layoff(start, stop - 1))
    return tuple(layoffs)


def fit_layoffs(
    week_strength: Floats, weights: Floats, layoffs: tuple[Layoff, ...]
) -> LayoffResponse | Refusal:
    """Loss and return of each layoff, and loss against length.

    Parameters
    ----------
    week_strength : (n_weeks,) log strength of each week up to a constant; nan without sets (and
        in deload weeks, which the caller blanks: they are light by intention).
    weights : (n_weeks,) how many sets or lift-weeks carry each.
    layoffs : from ``find_layoffs`` or the journal.

    Returns
    -------
    LayoffResponse, or Refusal when no layoff has logged weeks on both sides.
    """
    noise = fit_noise(week_strength, weights)
    edges = [layoff.start_week for layoff in layoffs] + [len(week_strength)]
    outcomes: list[LayoffOutcome] = []
    courses: list[Return] = []
    for number, layoff in enumerate(layoffs):
        found = _read_layoff(week_strength, weights, layoff, edges[number + 1], noise)
        if found is not None:
            outcomes.append(found[0])
            courses.append(found[1])
    if not outcomes:
        return Refusal(
            has=0,
            needs=1,
            of_what="layoffs with recorded reps in reserve in the weeks before and after",
            remedy="write down repetitions in reserve in the first two weeks back",
        )
    law = _loss_by_length(outcomes)
    return LayoffResponse(tuple(outcomes), len(layoffs), law, _regain_by_length(outcomes, courses))


def _read_layoff(
    strength: Floats, weights: Floats, layoff: Layoff, next_start: int, noise: Noise
) -> tuple[LayoffOutcome, Return] | None:
    """One layoff's outcome and return, or None without two logged weeks before and one after."""
    before = _logged(strength, max(0, layoff.start_week - 2 * WEEKS_BEFORE), layoff.start_week)
    before = before[-WEEKS_BEFORE:]
    followed = min(max(2 * layoff.weeks_off, LEAST_REGAIN), LONGEST_REGAIN)
    after = _logged(strength, layoff.end_week + 1, min(layoff.end_week + 1 + followed, next_start))
    back = after[after <= layoff.end_week + 2 * WEEKS_BACK][:WEEKS_BACK]
    if before.size < 2 or back.size < 1:
        return None
    level, level_variance = _mean(strength, weights, before, noise.week)
    returned, back_variance = _mean(strength, weights, back, noise.week)
    weeks_back = (after - layoff.end_week).astype(np.float64) - 0.5
    apart = layoff.weeks_off + MIDDLE_BEFORE + np.minimum.outer(weeks_back, weeks_back)
    covariance = np.diag(noise.week**2 / weights[after]) + level_variance + noise.drift**2 * apart
    course = Return(layoff.weeks_off, weeks_back, level - strength[after], covariance)
    between = layoff.weeks_off + MIDDLE_BEFORE + WEEKS_BACK / 2.0
    se = float(np.sqrt(level_variance + back_variance + noise.drift**2 * between))
    return _outcome(layoff, returned - level, se, course), course


def _outcome(layoff: Layoff, change: float, se: float, course: Return) -> LayoffOutcome:
    """The change in %, and the return where a loss beyond the noise was seen."""
    regain: tuple[float | None, float | None, float | None] = (None, None, None)
    if change < -1.96 * se:
        regain = regain_of(course)
    return LayoffOutcome(
        layoff,
        100.0 * change,
        100.0 * (change - 1.96 * se),
        100.0 * (change + 1.96 * se),
        100.0 * se,
        *regain,
    )


def _logged(strength: Floats, first: int, last: int) -> Ints:
    """Numbers of the weeks first..last-1 that have a value."""
    return first + np.flatnonzero(np.isfinite(strength[first:last]))


def _mean(strength: Floats, weights: Floats, weeks: Ints, noise: float) -> tuple[float, float]:
    """Weighted mean over weeks and its variance."""
    weight = weights[weeks]
    return float(np.average(strength[weeks], weights=weight)), float(noise**2 / weight.sum())


def _loss_by_length(outcomes: list[LayoffOutcome]) -> LossByLength | Refusal:
    """Slope through zero by weighted least squares, spread between layoffs by moments."""
    if len(outcomes) < LEAST_LAYOFFS:
        return Refusal(
            has=len(outcomes),
            needs=LEAST_LAYOFFS,
            of_what="layoffs that could be read",
            remedy="each is shown by itself; a law of loss against length needs more of them",
        )
    length = np.array([outcome.layoff.weeks_off for outcome in outcomes], dtype=np.float64)
    loss = np.array([outcome.loss_pct for outcome in outcomes])
    variance = np.array([outcome.se_pct for outcome in outcomes]) ** 2
    slope = _slope(length, loss, variance)
    excess = np.sum((loss - slope * length) ** 2 / variance) - (len(loss) - 1)
    spread = max(float(excess / np.sum(1.0 / variance)), 0.0)
    slope = _slope(length, loss, variance + spread)
    se = float(1.0 / np.sqrt(np.sum(length**2 / (variance + spread))))
    reach = t_quantile(0.95, len(loss) - 1) * se
    return LossByLength(slope, slope - reach, slope + reach, int(length.max()), len(loss))


def _regain_by_length(
    outcomes: list[LayoffOutcome], courses: list[Return]
) -> RegainByLength | Refusal:
    """The return over all layoffs long enough to cost something, if one of them clearly did."""
    pairs = zip(outcomes, courses, strict=True)
    lost = [
        (outcome.weeks_to_regain is not None, course)
        for outcome, course in pairs
        if outcome.loss_pct < 0 and course.weeks_off >= LEAST_WEEKS_OF_LOSS
    ]
    if not any(clear for clear, _ in lost):
        return Refusal(
            has=0,
            needs=1,
            of_what="layoffs of four weeks or more with a loss beyond the noise",
            remedy="nothing to do: without a loss there is nothing to come back from",
        )
    if len(lost) < LEAST_RETURNS:
        return Refusal(
            has=len(lost),
            needs=LEAST_RETURNS,
            of_what="layoffs of four weeks or more with a loss on return",
            remedy="each is drawn by itself; a rule over layoffs needs more of them",
        )
    return fit_regain([course for _, course in lost])


def _slope(length: Floats, loss: Floats, variance: Floats) -> float:
    return float(np.sum(length * loss / variance) / np.sum(length**2 / variance))
