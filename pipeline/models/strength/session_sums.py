"""Sets summed up into sessions: what each session says of its week, and what is left within.

The arithmetic under ``session_fit``: sets of one session share their day's form, so that only
their weighted mean speaks of the week; their differences speak of the effects that all weeks share
and of the variance of a set. Everything in natural logs.
"""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from scipy.ndimage import median_filter

from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.smoothing.state_space import LOG_2PI, WeekSums, sum_by

T_DEGREES = 5.0  # of the Student t whose weights sets and sessions get

# A session is first held against the median of so many neighbours of its series. Within FAR times
# the usual distance, at least DAY_SD (log, the usual day's form), it counts in full: other
# repetitions than the neighbours' make such distances too, before the own curve is known.
NEIGHBOURS = 9
DAY_SD = 0.02
FAR = 3.0

SET_SD = 0.02  # stands in, with SET_DEGREES degrees of freedom, where few sessions have two sets
SET_DEGREES = 10.0


@dataclass(frozen=True)
class SetRows:
    """Sets to fit, all (m,): week and session (ints; a session lies in one week), log value,
    (m, b) effects, variance relative to a set of few repetitions, recorded reserve, series (an
    exercise on one equipment: sessions of one series are alike but for strength and form)."""

    week: Ints
    session: Ints
    y: Floats
    x: Floats
    relative_var: Floats
    is_recorded: Bools
    series: Ints


@dataclass(frozen=True)
class BorderPrior:
    """Independent normal prior of the shared effects: (b,) mean and sd."""

    mean: Floats
    sd: Floats


class Within(NamedTuple):
    """Cross products within sessions, degrees of freedom, log determinant of the variances."""

    gram: Floats
    gram_y: Floats
    y_y: float
    free: float
    log_var: float


@dataclass(frozen=True)
class Sessions:
    """Sets collapsed to (c,) sessions, with what is left within them."""

    week: Ints
    kind: Ints
    y: Floats
    x: Floats
    inverse_n: Floats
    scale: Floats
    within: tuple[Within, ...]


def collapse(rows: SetRows, set_weight: Floats, session_weight: Floats | None) -> Sessions:
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
    return Sessions(week, kind, mean_y, mean_x, 1.0 / n, scale, within)


def weigh_sessions(rows: SetRows) -> Floats:
    """(c,) Student t weights of sessions far from their neighbours, before anything is fitted.

    A lighter week that nobody marked is no form of the day: left in at full weight it would be
    taken for form that lasts for weeks, and the level would be hidden behind it.
    """
    c = int(rows.session.max()) + 1
    mean = np.bincount(rows.session, rows.y, c) / np.bincount(rows.session, minlength=c)
    week, series = np.zeros((2, c), dtype=np.int64)
    week[rows.session], series[rows.session] = rows.week, rows.series
    away = np.zeros(c)
    for one in np.unique(series):
        own = np.flatnonzero(series == one)
        own = own[np.argsort(week[own], kind="stable")]
        away[own] = mean[own] - median_filter(mean[own], NEIGHBOURS, mode="nearest")
    spread = max(1.4826 * float(np.median(np.abs(away))), DAY_SD)
    far = np.abs(away) / spread
    return np.where(far > FAR, (T_DEGREES + 1.0) / (T_DEGREES + far**2), 1.0)


def _within(dev_y: Floats, dev_x: Floats, w: Floats, n_sessions: int) -> Within:
    weighted = dev_x * w[:, None]
    free = float(dev_y.size - n_sessions)
    return Within(
        dev_x.T @ weighted,
        weighted.T @ dev_y,
        float(w @ dev_y**2),
        free,
        float(-np.log(w).sum()),
    )


def set_variances(table: Sessions, prior: BorderPrior) -> Floats:
    """Set variance without and with recorded reserve, shrunk to ``SET_SD``."""
    values = []
    for gram, gram_y, y_y, free, _ in table.within:
        ridge = gram + np.diag((SET_SD / prior.sd) ** 2)
        target = gram_y + (SET_SD / prior.sd) ** 2 * prior.mean
        b = np.linalg.solve(ridge, target) if gram_y.size else gram_y
        rss = max(float(y_y - 2.0 * b @ gram_y + b @ gram @ b), 0.0)
        values.append((rss + SET_DEGREES * SET_SD**2) / (free + SET_DEGREES))
    return np.array(values)


def with_within(sums: WeekSums, table: Sessions, set_var: Floats) -> WeekSums:
    """``sums`` with what the differences within sessions say of the effects and the likelihood."""
    gram, gram_y, y_y, log_norm = sums.gram, sums.gram_y, sums.y_y, sums.log_norm
    for (g, g_y, yy, free, log_w), var in zip(table.within, set_var, strict=True):
        gram, gram_y, y_y = gram + g / var, gram_y + g_y / var, y_y + yy / var
        log_norm += free * (np.log(var) + LOG_2PI) + log_w
    return replace(sums, gram=gram, gram_y=gram_y, y_y=y_y, log_norm=float(log_norm))
