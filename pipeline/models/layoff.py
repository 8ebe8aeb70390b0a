"""Layoffs: what was lost on return, and how long it took to come back.

Question: after weeks without training, how far below the weeks before did strength stand, and
when was it back? Read from raw weekly strength (``fit_weekly_strength``), never from a smoothed
level, which draws a bridge across the gap.

Model (own derivation): before = weighted mean of the last ``WEEKS_BEFORE`` logged weeks; loss =
before less the weighted mean of the first ``WEEKS_BACK`` logged weeks after; noise of a week from
the record's own week-to-week scatter. Coming back: strength(k) = before - loss exp(-k / tau), tau
by least squares on a grid, with the set of tau that the noise cannot exclude.
Published values to stand beside it: maximal force falls with time off (Bosquet et al. 2013, read);
ten weeks off regained in five (Halonen et al. 2024, read, novices); three weeks off cost -2 to
+1 % in the bench press (Ogasawara et al., read).

It refuses a layoff without logged weeks on both sides, and a law of loss against length below
``LEAST_LAYOFFS``; every single loss is still given with its interval.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.weeks import Bools, Floats, Ints, find_runs, t_quantile

LEAST_WEEKS_OFF = 2
LEAST_LAYOFFS = 3
WEEKS_BEFORE, WEEKS_BACK = 5, 2
REGAINED = 0.9
LONGEST_REGAIN = 26
TAUS = np.geomspace(0.4, 26.0, 60)
# Weeks close together err alike (a cold, a bad month): what whole-window means really scatter
# by exceeds what independent weeks would give. As for deloads (METHODS: 1.6).
WIDENING = 1.6


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
    """

    outcomes: tuple[LayoffOutcome, ...]
    n_of: int
    by_length: LossByLength | Refusal


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
    noise = weekly_noise(week_strength, weights)
    edges = [layoff.start_week for layoff in layoffs] + [len(week_strength)]
    outcomes = []
    for number, layoff in enumerate(layoffs):
        found = _read_layoff(week_strength, weights, layoff, edges[number + 1], noise)
        if found is not None:
            outcomes.append(found)
    if not outcomes:
        return Refusal(
            has=0,
            needs=1,
            of_what="layoffs with recorded reserve in the weeks before and after",
            remedy="write down repetitions in reserve in the first two weeks back",
        )
    return LayoffResponse(tuple(outcomes), len(layoffs), _loss_by_length(outcomes))


def weekly_noise(week_strength: Floats, weights: Floats) -> float:
    """Standard deviation of a week of weight 1, log, from second differences, widened.

    x(t) - (x(t-1) + x(t+1)) / 2 holds no slow change; its variance is that of independent noise
    times 1/w0 + (1/w- + 1/w+) / 4 (own derivation). Median based, so that odd weeks do not rule.
    """
    x, w = np.asarray(week_strength), np.maximum(np.asarray(weights, dtype=np.float64), 1e-9)
    odd = x[1:-1] - 0.5 * (x[:-2] + x[2:])
    scale = np.sqrt(1.0 / w[1:-1] + 0.25 * (1.0 / w[:-2] + 1.0 / w[2:]))
    scores = np.abs(odd / scale)[np.isfinite(odd)]
    if scores.size < 8:
        return 0.03
    return WIDENING * float(np.median(scores)) / 0.6745


def _read_layoff(
    strength: Floats, weights: Floats, layoff: Layoff, next_start: int, noise: float
) -> LayoffOutcome | None:
    """One layoff's outcome, or None without two logged weeks before and one after."""
    before = _logged(strength, max(0, layoff.start_week - 2 * WEEKS_BEFORE), layoff.start_week)
    before = before[-WEEKS_BEFORE:]
    last = min(layoff.end_week + 1 + LONGEST_REGAIN, next_start)
    after = _logged(strength, layoff.end_week + 1, last)
    back = after[after <= layoff.end_week + 2 * WEEKS_BACK][:WEEKS_BACK]
    if before.size < 2 or back.size < 1:
        return None
    level, level_variance = _mean(strength, weights, before, noise)
    returned, back_variance = _mean(strength, weights, back, noise)
    change = returned - level
    se = float(np.sqrt(level_variance + back_variance))
    regain: tuple[float | None, float | None, float | None] = (None, None, None)
    if change < -1.96 * se:
        weeks_back = (after - layoff.end_week).astype(np.float64) - 0.5
        below = level - strength[after]
        variance = noise**2 / weights[after]
        regain = _regain(weeks_back, below, variance, level_variance)
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


def _regain(
    weeks_back: Floats, below: Floats, variance: Floats, level_variance: float
) -> tuple[float, float, float]:
    """Weeks until ``REGAINED`` of the loss is back: (best, low, high); inf where unseen.

    For each tau the best loss, by least squares with the before-level's error shared by all
    weeks; those tau within 2.71 / 2 of the best log likelihood make the 90 % set.
    """
    total = np.diag(variance) + level_variance
    inverse = np.linalg.inv(total)
    cost = np.empty(TAUS.size)
    for number, tau in enumerate(TAUS):
        shape = np.exp(-weeks_back / tau)
        loss = max(float(shape @ inverse @ below / (shape @ inverse @ shape)), 0.0)
        residual = below - loss * shape
        cost[number] = residual @ inverse @ residual
    weeks = -np.log(1.0 - REGAINED) * TAUS
    credible = np.flatnonzero(cost <= cost.min() + 2.71)
    ends = weeks[np.argmin(cost)], weeks[credible[0]], weeks[credible[-1]]
    best, low, high = (float(one) if one <= weeks_back[-1] else float("inf") for one in ends)
    return best, low, high


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


def _slope(length: Floats, loss: Floats, variance: Floats) -> float:
    return float(np.sum(length * loss / variance) / np.sum(length**2 / variance))
