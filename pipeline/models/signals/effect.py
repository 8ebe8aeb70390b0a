"""Does strength of a session go with a signal of the nights before it?

Question: by how much did strength stand higher on days after a longer night (a higher heart rate
variability, a heavier morning, ...)? Association only: what moves both is not seen. Stress moves
sleep and strength alike, and within a month nothing here can tell it from sleep itself.

Model (METHODS section e; own derivation of the form). A bout is one lift on one day. Strength and
signal are both taken as the deviation from the person's own mean over the same lift's bouts
within ``HALF_WINDOW`` days either side, so that neither slow growth, nor a season of good sleep,
nor the choice of lifts on a day enters; windows never cross a change of device, whose level
shift thereby drops out. Weighted least squares of the one on the other and on the slow means of
sleep, resting heart rate and the signal itself (what lasts for weeks); errors clustered by
``CLUSTER_DAYS`` days and widened by ``WIDENING`` (METHODS: 1.3). A reading that errs by a known
amount flattens the slope by its share of noise; the slope is divided by the share that is left.
The size of that error is an assumption, and the interval allows ``SCALE_SD`` for it and for the
repetition curve by which reserve became strength; the p-value does not hang on either.

Strength comes from sets with recorded reserve, however many repetitions: on submaximal sets
without it about half of a sleep effect vanishes, and sets left out for what they showed (more
than 12 repetitions, 5 or more left) would take a further tenth with them.

It refuses below ``LEAST_SESSIONS`` sessions with a reading or ``LEAST_MONTHS`` clusters.
"""

from dataclasses import dataclass, replace

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.signals.days import DailySignal, mean_of_nights, slow_mean
from pipeline.models.strength.rep_curve import MORE_LEFT, log_factor
from pipeline.models.weeks import t_quantile

HALF_WINDOW = 14  # days: the own 28-day mean of METHODS e
CLUSTER_DAYS = 28
WIDENING = 1.3  # METHODS e
SCALE_SD = 0.12  # an assumption, printed on the page
# Least of bouts in a window, of sessions and clusters, of the share of sessions that a held signal
# needs; least share of true variance a slope is divided by: common practice, no published source.
LEAST_IN_WINDOW = 3
LEAST_SESSIONS, LEAST_MONTHS = 40, 10
LEAST_HELD = 0.9
LEAST_RELIABILITY = 0.4
# Below these (units of the effect, log strength) nothing differs and a slope is rounding alone.
LEAST_SWING, LEAST_SPREAD = 0.001, 0.0001
SAME = "sessions that never differ cannot go with anything: look at what was written down"
STEADY = "the readings hardly ever differ: look at what the device wrote"
REMEDY = "write reserve down and keep the device on for some months"
SLIP_SDS = 6.0  # of a lift's usual, robustly; common practice, no published source

# A window of about four bouts takes a quarter of an independent error with its mean.
_WINDOW_SHARE = 0.75
_LEAST_SE = 1e-12
_FAR = 1_000_000  # days; keeps windows of different lifts apart

# What people leave beyond what they say (``MORE_LEFT``): none at failure itself, two where much is
# left (Hackett 2017, read). Reached from four said on: an assumption. ``strength.rep_curve`` takes
# it from one on, since there only the average counts; here the rise with what is said does.
_FULL_FROM = 4.0


@dataclass(frozen=True)
class Bouts:
    """One element per lift and day: day, lift, log strength, weight n / (n + 1) of n sets."""

    day: Ints
    lift: Ints
    strength: Floats
    weight: Floats


@dataclass(frozen=True)
class SignalEffect:
    """Association of one signal with the strength of the sessions after it.

    Attributes
    ----------
    effect_pct, se_pct : strength in % per unit of the signal, corrected for device error, and its
        widened standard error.
    p_value : two-sided, of no association.
    swing : the signal's own standard deviation from one such day to the next (error taken off).
    reliability : share of the readings' variance that is not device error.
    n_sessions, n_bouts, n_months : days, lift-days and clusters behind it.
    """

    effect_pct: float
    se_pct: float
    p_value: float
    swing: float
    reliability: float
    n_sessions: int
    n_bouts: int
    n_months: int

    def interval(self, coverage: float = 0.95) -> tuple[float, float]:
        """(low, high) in % per unit by Student's t; scale uncertainty included."""
        se = float(np.hypot(self.se_pct, SCALE_SD * self.effect_pct))
        reach = t_quantile(coverage, self.n_months - 1) * se
        return self.effect_pct - reach, self.effect_pct + reach


def log_set_strength(load_kg: Floats, reps: Floats, rir: Floats, slope: Floats) -> Floats:
    """(m,) log of the strength that a set with reserve shows, on the lift's own curve (``slope``).

    A recorded reserve is lengthened by what people under-predict: without that a good day, on
    which more is left, would show only in part.
    """
    left = rir + MORE_LEFT * np.minimum(rir / _FULL_FROM, 1.0)
    strength: Floats = np.log(load_kg) + slope * log_factor(reps + left)
    return strength


def gather_bouts(set_day: Ints, set_lift: Ints, set_log_strength: Floats) -> Bouts:
    """Mean strength of each lift on each day; nan sets are left out.

    Parameters
    ----------
    set_day, set_lift, set_log_strength : (n_sets,) day of the record, lift number (a machine on
        new equipment is a new lift), natural log of strength.
    """
    known = np.isfinite(set_log_strength)
    n_days = int(set_day.max(initial=0)) + 1
    key = set_lift[known].astype(np.int64) * n_days + set_day[known]
    cell, member = np.unique(key, return_inverse=True)
    count = np.bincount(member, minlength=cell.size).astype(np.float64)
    total = np.bincount(member, weights=set_log_strength[known], minlength=cell.size)
    return Bouts(cell % n_days, cell // n_days, total / np.maximum(count, 1), count / (count + 1))


def fit_signal_effect(
    bouts: Bouts, signal: DailySignal, held: tuple[DailySignal, ...] = (), nights: int = 1
) -> SignalEffect | Refusal:
    """Fit one signal.

    Parameters
    ----------
    bouts : from sets with recorded reserve; easy weeks left out by the caller.
    signal : the readings.
    held : signals whose slow mean is held still beside the signal's own; one that is missing on
        more than a tenth of the sessions is not.
    nights : the exposure is the mean of so many nights up to the session.
    """
    exposure = mean_of_nights(signal.centred, nights)[bouts.day]
    read = np.isfinite(exposure)
    columns = [exposure]
    for one in (signal, *(one for one in held if one is not signal)):
        slow = slow_mean(one.centred)[bouts.day]
        if np.isfinite(slow[read]).sum() >= LEAST_HELD * read.sum():
            columns.append(slow)
    near = _deviate(bouts, signal.device[bouts.day], np.array([bouts.strength, *columns]))
    kept = np.all(np.isfinite(near), axis=0)
    kept[kept] = _is_plausible(near[0, kept])
    refusal = _refuse(np.unique(bouts.day[kept]))
    return refusal or _regress(bouts, near, kept, signal.error_sd**2 / nights)


def fit_fake_nights(
    bouts: Bouts,
    signal: DailySignal,
    held: tuple[DailySignal, ...] = (),
    nights: int = 1,
    n_fakes: int = 100,
    seed: int = 0,
) -> Floats:
    """Placebo: the same fit with the signal moved by months against the sessions; % per unit.

    Every other series stays where it is. nan where the moved one could not be fitted.
    """
    read = np.flatnonzero(np.isfinite(signal.value))
    first, last = int(read[0]), int(read[-1]) + 1
    least = min(2 * CLUSTER_DAYS, (last - first) // 3)
    rng = np.random.default_rng(seed)
    effects = np.full(n_fakes, np.nan)
    for fake in range(n_fakes):
        value = signal.centred
        value[first:last] = np.roll(
            value[first:last], int(rng.integers(least, last - first - least))
        )
        moved = replace(signal, value=value, device=np.zeros_like(signal.device))
        fitted = fit_signal_effect(bouts, moved, held, nights)
        effects[fake] = fitted.effect_pct if isinstance(fitted, SignalEffect) else np.nan
    return effects


def _is_plausible(rise: Floats) -> Bools:
    """Not further than ``SLIP_SDS`` robust standard deviations from the lift's usual: a slip."""
    spread = 1.4826 * float(np.median(np.abs(rise))) if rise.size else 0.0
    return np.abs(rise) <= SLIP_SDS * spread if spread > 0.0 else np.ones(rise.size, dtype=bool)


def _refuse(days: Ints) -> Refusal | None:
    months = np.unique(days // CLUSTER_DAYS).size
    if days.size < LEAST_SESSIONS:
        return Refusal(
            days.size,
            LEAST_SESSIONS,
            "sessions with recorded reps in reserve and a reading",
            REMEDY,
        )
    if months < LEAST_MONTHS:
        return Refusal(months, LEAST_MONTHS, "months with such sessions", REMEDY)
    return None


def _deviate(bouts: Bouts, device: Ints, columns: Floats) -> Floats:
    """(k, m) columns less their weighted mean over the same lift's bouts nearby; nan where fewer
    than ``LEAST_IN_WINDOW`` of these have all columns. Bouts come ordered by lift and day."""
    deviation = np.full(columns.shape, np.nan)
    known = np.flatnonzero(np.all(np.isfinite(columns), axis=0))
    stint = bouts.lift[known] * (int(device.max(initial=0)) + 1) + device[known]
    order = known[np.lexsort((bouts.day[known], stint))]
    place = np.sort(stint * _FAR) + bouts.day[order]
    first = np.searchsorted(place, place - HALF_WINDOW)
    stop = np.searchsorted(place, place + HALF_WINDOW, side="right")
    weight = bouts.weight[order]
    total = np.cumsum(np.c_[np.zeros(len(columns)), columns[:, order] * weight], axis=1)
    mass = np.cumsum(np.r_[0.0, weight])
    mean = (total[:, stop] - total[:, first]) / (mass[stop] - mass[first])
    is_enough = stop - first >= LEAST_IN_WINDOW
    deviation[:, order] = np.where(is_enough, columns[:, order] - mean, np.nan)
    return deviation


def _regress(
    bouts: Bouts, near: Floats, kept: Bools, error_variance: float
) -> SignalEffect | Refusal:
    """Slope on the first column with clustered errors, corrected for the readings' own error."""
    rise, exposure, others = near[0, kept], near[1, kept], near[2:, kept].T
    weight, month = bouts.weight[kept], bouts.day[kept] // CLUSTER_DAYS
    root = np.sqrt(weight)
    share = np.linalg.lstsq(others * root[:, None], exposure * root, rcond=None)[0]
    alone = exposure - others @ share
    load = np.linalg.lstsq(others * root[:, None], rise * root, rcond=None)[0]
    beyond = rise - others @ load
    mass = float(weight @ alone**2)
    seen = mass / float(weight.sum())
    if seen < LEAST_SWING**2:
        return Refusal(round(seen**0.5, 4), LEAST_SWING, "units between the readings", STEADY)
    spread = float(np.std(beyond))
    if spread < LEAST_SPREAD:
        return Refusal(round(spread, 5), LEAST_SPREAD, "between the sessions' strength (log)", SAME)
    slope = float(weight @ (alone * beyond)) / mass
    member = np.unique(month, return_inverse=True)[1]
    score = np.bincount(member, weights=weight * alone * (beyond - slope * alone))
    n_months = score.size
    se = WIDENING * float(np.sqrt(score @ score * n_months / (n_months - 1))) / mass
    reliability = max(1.0 - error_variance * _WINDOW_SHARE / seen, LEAST_RELIABILITY)
    return SignalEffect(
        effect_pct=100.0 * slope / reliability,
        se_pct=100.0 * se / reliability,
        p_value=_two_sided(slope / max(se, _LEAST_SE), n_months - 1),
        swing=float(np.sqrt(seen * reliability)),
        reliability=reliability,
        n_sessions=int(np.unique(bouts.day[kept]).size),
        n_bouts=int(kept.sum()),
        n_months=n_months,
    )


def _two_sided(t: float, freedom: int) -> float:
    """Chance of a Student t at least so far from zero."""
    from scipy.special import stdtr

    return float(2.0 * stdtr(max(freedom, 1), -abs(t)))
