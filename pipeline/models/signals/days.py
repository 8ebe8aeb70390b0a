"""Nightly and daily readings brought to a form in which days can be compared.

All series are (n_days,), one element per calendar day from the record's first, nan where nothing
was read. The night that ended on a day belongs to that day.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pipeline.models.arrays import Floats, Ints

# At least three valid days a week for heart rate variability (Plews et al. 2014, read).
WEEK_DAYS, LEAST_WEEK_DAYS = 7, 3
# Whatever moves over weeks (illness, work, season) shows in the mean over about a fortnight.
SLOW_DAYS, LEAST_SLOW_DAYS = 15, 5


@dataclass(frozen=True)
class SignalKind:
    """How readings of one name are taken.

    Attributes
    ----------
    name : as in table ``tidy_signal``.
    size : how much of the reading one unit of an effect is; for ``is_ratio`` the factor.
    unit : the effect's unit.
    error_sd : standard deviation of one reading's error, in the reading's own unit; 0 where
        the reading itself, error and all, is what is asked about.
    days_before : the reading of how many days before the session is the last one it could meet:
        1 for what is counted over the whole day, else 0.
    needs_dense : read only in weeks with at least ``LEAST_WEEK_DAYS`` valid days.
    """

    name: str
    size: float
    unit: str
    error_sd: float = 0.0
    is_ratio: bool = False
    days_before: int = 0
    needs_dense: bool = False


# Wrist devices miss total sleep by 17 minutes on average (Lee et al. 2025, read); how far single
# nights stray from that is not in the abstract: 20 minutes are an assumption, printed on the page.
SLEEP_ERROR_MIN = 20.0

# RMSSD and SDNN are two measures, each with a member of its own, never pooled.
SIGNAL_KINDS = (
    SignalKind("sleep_min", 60.0, "%/h", error_sd=SLEEP_ERROR_MIN),
    SignalKind("resting_hr_bpm", 1.0, "%/bpm"),
    SignalKind("hrv_rmssd_ms", 1.1, "%/10 %", is_ratio=True, needs_dense=True),
    SignalKind("hrv_sdnn_ms", 1.1, "%/10 %", is_ratio=True, needs_dense=True),
    SignalKind("steps", 1000.0, "%/1000 steps", days_before=1),
    SignalKind("body_weight_kg", 1.0, "%/kg"),
)


@dataclass(frozen=True)
class DailySignal:
    """Readings of one signal.

    Attributes
    ----------
    value : (n_days,) readings in the unit that an effect is stated in; nan where none.
    device : (n_days,) number of the device's stint; each has a level of its own.
    error_sd : standard deviation of one reading's own error, same unit; 0: taken as it was read.
    """

    value: Floats
    device: Ints
    error_sd: float = 0.0

    @property
    def centred(self) -> Floats:
        """(n_days,) readings less the mean of their device: a new device is a level shift."""
        known = np.isfinite(self.value)
        size = int(self.device.max(initial=0)) + 1
        count = np.bincount(self.device[known], minlength=size)
        total = np.bincount(self.device[known], weights=self.value[known], minlength=size)
        return self.value - (total / np.maximum(count, 1))[self.device]


def lay_signal(
    kind: SignalKind, day: Ints, reading: Floats, device: ArrayLike, n_days: int
) -> DailySignal:
    """Readings on the calendar of the record, in the unit of the kind's effect.

    Parameters
    ----------
    day, reading, device : (m,) day of the record (at most one reading a day; others lie before
        the record or after it), reading as in ``tidy_signal``, number of the device's stint.
    """
    value: Floats = np.full(n_days, np.nan)
    stint = np.zeros(n_days, dtype=np.int64)
    at = np.asarray(day, dtype=np.int64) + kind.days_before
    inside = (at >= 0) & (at < n_days)
    value[at[inside]] = np.asarray(reading, dtype=np.float64)[inside]
    stint[at[inside]] = np.asarray(device, dtype=np.int64)[inside]
    if kind.is_ratio:
        with np.errstate(divide="ignore", invalid="ignore"):
            value = np.where(value > 0.0, np.log(value) / np.log(kind.size), np.nan)
        error = 0.0
    else:
        value, error = value / kind.size, kind.error_sd / kind.size
    if kind.needs_dense:
        value = _keep_dense_days(value)
    return DailySignal(value, stint, error)


def _keep_dense_days(value: Floats) -> Floats:
    """nan also where fewer than ``LEAST_WEEK_DAYS`` of the last seven days were read."""
    read = _trailing(np.isfinite(value).astype(np.float64), WEEK_DAYS)
    return np.where(read >= LEAST_WEEK_DAYS, value, np.nan)


def mean_of_nights(value: Floats, nights: int) -> Floats:
    """Mean of the last ``nights`` readings up to each day; nan where over a third is missing."""
    known = np.isfinite(value)
    count = _trailing(known.astype(np.float64), nights)
    total = _trailing(np.where(known, value, 0.0), nights)
    return np.where(count >= 2.0 * nights / 3.0, total / np.maximum(count, 1.0), np.nan)


def slow_mean(value: Floats) -> Floats:
    """Mean of the ``SLOW_DAYS`` days around each day; nan below ``LEAST_SLOW_DAYS`` readings."""
    known = np.isfinite(value)
    half = SLOW_DAYS // 2
    padded = np.concatenate([np.where(known, value, 0.0), np.zeros(half)])
    counted = np.concatenate([known.astype(np.float64), np.zeros(half)])
    count, total = _trailing(counted, SLOW_DAYS)[half:], _trailing(padded, SLOW_DAYS)[half:]
    return np.where(count >= LEAST_SLOW_DAYS, total / np.maximum(count, 1.0), np.nan)


def _trailing(values: Floats, days: int) -> Floats:
    """Sum of the last ``days`` values up to each one."""
    total = np.concatenate([[0.0], np.cumsum(values)])
    stop = np.arange(1, values.size + 1)
    return total[stop] - total[np.maximum(stop - days, 0)]
