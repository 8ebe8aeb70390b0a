"""Mean course of weekly strength around deloads and around ordinary weeks like them.

These are what a reader looks at; the effect itself comes from the regression in ``deload``.
Lines are cut at the next deload and end where under two thirds of the events remain, since the
survivors would bend the mean.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats, Ints
from pipeline.models.weeks import mask_weeks, t_quantile

WEEKS_BEFORE, WEEKS_AFTER = 5, 3
OFFSETS = (-3, -2, -1, 1, 2, 3, 4, 5)
N_MATCHED = 10
WITHIN_WEEKS = 52
LEAST_SHARE_SHOWN = 2.0 / 3.0


@dataclass(frozen=True)
class Paths:
    """Mean course of weekly strength around a week, % against the five weeks before.

    Attributes
    ----------
    offsets : (k,) weeks from the deload; the deload's own week is left open.
    mean, low, high : (k,) mean and 95 % band; nan where under two thirds of the events remain.
    n : (k,) events behind each.
    """

    offsets: Ints
    mean: Floats
    low: Floats
    high: Floats
    n: Ints


def event_paths(strength: Floats, events: Ints, deloads: Ints) -> Floats:
    """(n_events, n_offsets) course against the five weeks before, cut at other deloads."""
    paths = np.full((len(events), len(OFFSETS)), np.nan)
    for row, week in enumerate(events):
        baseline = np.nanmean(strength[max(0, week - WEEKS_BEFORE) : week])
        later = deloads[deloads > week]
        earlier = deloads[deloads < week]
        stop = later[0] if later.size else len(strength)
        start = earlier[-1] if earlier.size else -1
        for column, offset in enumerate(OFFSETS):
            if start < week + offset < stop:
                paths[row, column] = 100.0 * (strength[week + offset] - baseline)
    return paths


def matched_paths(
    strength: Floats, week: Ints, change_before: Floats, readable: Ints, deloads: Ints
) -> Floats:
    """For each deload the mean course of the ``N_MATCHED`` ordinary weeks most like it in the
    change before, taken within a year of it where there are as many."""
    is_near = mask_weeks(len(strength), deloads, before=WEEKS_AFTER, after=0)
    is_ordinary = ~is_near[week]
    ordinary, change = week[is_ordinary], change_before[is_ordinary]
    means = np.full((len(readable), len(OFFSETS)), np.nan)
    courses = event_paths(strength, ordinary, deloads)
    for row, event in enumerate(readable):
        own = change_before[week == event][0]
        distance = np.abs(change - own) + 10.0 * (np.abs(ordinary - event) > WITHIN_WEEKS)
        nearest = courses[np.argsort(distance, kind="stable")[:N_MATCHED]]
        known = np.isfinite(nearest).sum(axis=0)
        total = np.nansum(nearest, axis=0)
        means[row] = np.where(known > 0, total / np.maximum(known, 1), np.nan)
    return means


def mean_path(paths: Floats) -> Paths:
    """Mean of the rows of ``paths`` (n_events, n_offsets) with its 95 % band; see ``Paths``."""
    n = np.isfinite(paths).sum(axis=0)
    is_shown = (n >= LEAST_SHARE_SHOWN * len(paths)) & (n >= 2)
    total = np.nansum(paths, axis=0)
    mean = np.where(is_shown, total / np.maximum(n, 1), np.nan)
    squares = np.nansum((paths - mean) ** 2, axis=0) / np.maximum(n - 1, 1)
    reach = np.array([t_quantile(0.95, max(int(k) - 1, 1)) for k in n])
    reach = reach * np.sqrt(squares / np.maximum(n, 1))
    return Paths(np.array(OFFSETS), mean, mean - reach, mean + reach, n)
