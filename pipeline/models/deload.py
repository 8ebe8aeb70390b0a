"""What followed deloads: strength in the weeks after, against matched ordinary weeks.

Question: did strength stand higher in weeks 1 to 3 after a deload than it would have after an
ordinary week? Association; deloads are not drawn by lot.

Model (own derivation after METHODS section d): for every trained week w, the mean weekly strength
of weeks w+1..w+3 less that of weeks w-5..w-1 is regressed on

* the share of the after-weeks less the share of the before-weeks that lie within weeks 1 to 3
  after any deload (1 for a lone deload, less where the baseline lies after another one), and the
  same for weeks 4 to 6, shrunk to no effect, so that an effect that lingers in the baseline is
  not charged to the next deload;
* the change before: mean of weeks w-2, w-1 less that of w-5..w-3, because a deload that follows
  bad weeks is followed by better ones anyway (regression to the mean, certain then);
* the period: one constant per training year.

Least squares weighted by the sets behind both means; errors clustered by quarter of a year (the
windows overlap) and widened by ``WIDENING`` (METHODS: 1.6 brought the interval to its share).
The first coefficient is the effect. Weekly strength comes from sets with recorded reserve only:
on submaximal sets without it about a third of an effect vanishes (METHODS section e).

It refuses with fewer than ``LEAST_DELOADS`` deloads that have logged weeks around them.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.deload_paths import (
    WEEKS_AFTER,
    WEEKS_BEFORE,
    Paths,
    event_paths,
    matched_paths,
    mean_path,
)
from pipeline.models.weeks import Bools, Floats, Ints, mask_weeks, t_quantile

LEAST_DELOADS = 4
WIDENING = 1.6
CLUSTER_WEEKS = 13
# Prior spread (log) of what is left in weeks 4 to 6, and about how many neighbouring rows tell
# the same because their windows overlap. Assumptions: with deloads at even distances the two
# stretches cannot be told apart, and the effect is then taken to lie in the first.
LATER_SPREAD, OVERLAP = 0.004, 3.0
PERIOD_WEEKS = 52


@dataclass(frozen=True)
class DeloadEvent:
    """One deload's own effect, drawn toward the mean by its noise; % with 95 % interval."""

    week: int
    estimate_pct: float
    low_pct: float
    high_pct: float


@dataclass(frozen=True)
class DeloadResponse:
    """What followed this lifter's deloads.

    Attributes
    ----------
    effect_pct, se_pct : weeks 1 to 3 after against matched ordinary weeks, percentage points, and
        its widened standard error.
    n, n_of : deloads that could be read, of all.
    events : the single ones (only readable ones), partially pooled.
    after_deloads, after_ordinary : mean courses with bands.
    event_paths : (n, k) course of each readable deload at ``OFFSETS``, cut at the next deload.
    """

    effect_pct: float
    se_pct: float
    n: int
    n_of: int
    events: tuple[DeloadEvent, ...]
    after_deloads: Paths
    after_ordinary: Paths
    event_paths: Floats

    def interval(self, coverage: float = 0.95) -> tuple[float, float]:
        """(low, high) in % by Student's t with n - 1 degrees of freedom."""
        reach = t_quantile(coverage, self.n - 1) * self.se_pct
        return self.effect_pct - reach, self.effect_pct + reach


@dataclass(frozen=True)
class _Regression:
    """Rows of the regression: one per week with enough logged weeks around it."""

    week: Ints
    rise: Floats
    change_before: Floats
    weight: Floats


def fit_deload_response(
    week_strength: Floats,
    weights: Floats,
    deload_weeks: Ints,
    left_out: Bools | None = None,
) -> DeloadResponse | Refusal:
    """Fit the response to deloads.

    Parameters
    ----------
    week_strength : (n_weeks,) log strength of each week from sets with recorded reserve, up to a
        constant and a slow drift (``fit_weekly_strength``); nan when there are none.
    weights : (n_weeks,) how many sets (or lift-weeks) carry each.
    deload_weeks : (n_deloads,) week numbers; their own strength is never used, it is light by
        intention.
    left_out : (n_weeks,) layoffs with the windows after them, and whatever else must not speak.

    Returns
    -------
    DeloadResponse, or Refusal below ``LEAST_DELOADS`` readable deloads.
    """
    deloads = np.unique(np.asarray(deload_weeks, dtype=np.int64))
    strength = _blank(week_strength, deloads, left_out)
    rows = _rows(strength, weights)
    readable = deloads[np.isin(deloads, rows.week)]
    if readable.size < LEAST_DELOADS:
        return Refusal(
            has=int(readable.size),
            needs=LEAST_DELOADS,
            of_what="deloads with recorded reserve in the weeks around them",
            remedy="write down repetitions in reserve in the weeks before and after a deload",
        )
    columns = _columns(rows, deloads, len(strength))
    effect, se, controls = _regress(rows, columns)
    paths = event_paths(strength, readable, deloads)
    ordinary = matched_paths(strength, rows.week, rows.change_before, readable, deloads)
    return DeloadResponse(
        effect_pct=100.0 * effect,
        se_pct=100.0 * se,
        n=int(readable.size),
        n_of=int(deloads.size),
        events=_pool_events(rows, columns, controls, readable),
        after_deloads=mean_path(paths),
        after_ordinary=mean_path(ordinary),
        event_paths=paths,
    )


def fit_fake_deloads(
    week_strength: Floats,
    weights: Floats,
    deload_weeks: Ints,
    left_out: Bools | None = None,
    *,
    n_fakes: int = 100,
    seed: int = 0,
) -> Floats:
    """Placebo: effects found at invented dates, in %; (n_fakes,).

    As many ordinary weeks as there are readable deloads, drawn at random and not next to a real
    deload, take the deloads' place; the real ones stay in the regression as what they are. The
    effects should lie around 0; a real effect inside their bulk is not one.
    nan where too few ordinary weeks are left.
    """
    deloads = np.unique(np.asarray(deload_weeks, dtype=np.int64))
    strength = _blank(week_strength, deloads, left_out)
    rows = _rows(strength, weights)
    is_near = mask_weeks(len(strength), deloads, before=1, after=1)
    ordinary = rows.week[~is_near[rows.week]]
    n_drawn = int(np.isin(deloads, rows.week).sum())
    effects = np.full(n_fakes, np.nan)
    if n_drawn == 0 or ordinary.size < 2 * n_drawn:
        return effects
    rng = np.random.default_rng(seed)
    real = _columns(rows, deloads, len(strength))
    for number in range(n_fakes):
        fake = np.sort(rng.choice(ordinary, n_drawn, replace=False))
        columns = np.column_stack([_columns(rows, fake, len(strength)), real])
        effects[number] = 100.0 * _regress(rows, columns)[0]
    return effects


def _blank(week_strength: Floats, deloads: Ints, left_out: Bools | None) -> Floats:
    strength = np.array(week_strength, dtype=np.float64)
    strength[deloads] = np.nan
    if left_out is not None:
        strength[np.asarray(left_out, dtype=bool)] = np.nan
    return strength


def _rows(strength: Floats, weights: Floats) -> _Regression:
    """One row per week that has two logged weeks of three after it and two on either side of
    the split of the five before it (weeks -2..-1 and -5..-3; one each is enough)."""
    week = np.arange(len(strength))
    after, after_weight = _window_mean(strength, weights, 1, WEEKS_AFTER)
    before, before_weight = _window_mean(strength, weights, -WEEKS_BEFORE, -1)
    near, _ = _window_mean(strength, weights, -2, -1)
    far, _ = _window_mean(strength, weights, -WEEKS_BEFORE, -3)
    enough = _window_count(strength, 1, WEEKS_AFTER) >= 2
    enough &= _window_count(strength, -WEEKS_BEFORE, -1) >= 2
    enough &= np.isfinite(near) & np.isfinite(far)
    weight = after_weight * before_weight / np.maximum(after_weight + before_weight, 1e-9)
    return _Regression(week[enough], (after - before)[enough], (near - far)[enough], weight[enough])


def _window_mean(values: Floats, weights: Floats, first: int, last: int) -> tuple[Floats, Floats]:
    """Weighted mean of weeks w+first..w+last for every w, and the sum of weights."""
    known = np.isfinite(values)
    weight = np.where(known, weights, 0.0)
    total = _window_sum(weight, first, last)
    mean = _window_sum(np.where(known, values, 0.0) * weight, first, last)
    return np.where(total > 0, mean / np.maximum(total, 1e-12), np.nan), total


def _window_count(values: Floats, first: int, last: int) -> Floats:
    return _window_sum(np.isfinite(values).astype(np.float64), first, last)


def _window_sum(values: Floats, first: int, last: int) -> Floats:
    n = len(values)
    running = np.concatenate([[0.0], np.cumsum(values)])
    week = np.arange(n)
    start = np.clip(week + first, 0, n)
    stop = np.clip(week + last + 1, 0, n)
    return running[stop] - running[start]


def _columns(rows: _Regression, deloads: Ints, n_weeks: int) -> Floats:
    """Exposure of the after-weeks less that of the before-weeks, weeks 1-3 and 4-6; (n, 2)."""
    columns = []
    for first, last in ((1, 3), (4, 6)):
        exposed = np.zeros(n_weeks)
        for week in deloads:
            exposed[week + first : week + last + 1] = 1.0
        exposed[deloads] = 0.0
        after = _window_sum(exposed, 1, WEEKS_AFTER) / WEEKS_AFTER
        before = _window_sum(exposed, -WEEKS_BEFORE, -1) / WEEKS_BEFORE
        columns.append((after - before)[rows.week])
    return np.column_stack(columns)


def _regress(rows: _Regression, columns: Floats) -> tuple[float, float, Floats]:
    """(coefficient of the first column, widened se, all coefficients)."""
    design = np.column_stack([columns, _controls(rows)])
    gram = (design * rows.weight[:, None]).T @ design
    target = design.T @ (rows.weight * rows.rise)
    free = np.linalg.pinv(gram) @ target
    noise = np.average((rows.rise - design @ free) ** 2, weights=rows.weight) * rows.weight.mean()
    penalty = np.zeros(design.shape[1])
    penalty[1 : columns.shape[1] : 2] = OVERLAP * noise / LATER_SPREAD**2
    inverse = np.linalg.pinv(gram + np.diag(penalty))
    coefficients = inverse @ target
    scores = design * (rows.weight * (rows.rise - design @ coefficients))[:, None]
    clusters = np.unique(rows.week // CLUSTER_WEEKS, return_inverse=True)[1]
    summed = np.zeros((clusters.max() + 1, design.shape[1]))
    np.add.at(summed, clusters, scores)
    n_clusters = len(summed)
    variance = inverse @ (summed.T @ summed) @ inverse * n_clusters / max(n_clusters - 1, 1)
    se = WIDENING * float(np.sqrt(max(variance[0, 0], 0.0)))
    return float(coefficients[0]), se, coefficients


def _controls(rows: _Regression) -> Floats:
    """Change before, and one constant per training year."""
    period = np.unique(rows.week // PERIOD_WEEKS, return_inverse=True)[1]
    return np.column_stack([rows.change_before, np.eye(period.max() + 1)[period]])


def _pool_events(
    rows: _Regression, columns: Floats, coefficients: Floats, readable: Ints
) -> tuple[DeloadEvent, ...]:
    """Each deload's rise beyond what the controls expect, shrunk to the mean of all.

    Spread between deloads by moments (DerSimonian-Laird's form), noise from the ordinary weeks.
    """
    design = np.column_stack([columns, _controls(rows)])
    beyond = rows.rise - design[:, 1:] @ coefficients[1:]
    is_event = np.isin(rows.week, readable)
    ordinary = (np.abs(columns[:, 0]) < 0.2) & ~is_event
    noise = (rows.rise - design @ coefficients)[ordinary if ordinary.sum() > 8 else ~is_event]
    exposure = np.maximum(columns[is_event, 0], 0.3)
    own = beyond[is_event] / exposure
    variance = (np.var(noise) if noise.size else np.var(own)) / exposure**2
    mean = np.average(own, weights=1.0 / variance)
    spread = max(float(np.var(own, ddof=1) - np.mean(variance)), 0.0)
    share = spread / (spread + variance)
    shrunk = mean + share * (own - mean)
    mean_variance = (spread + np.mean(variance)) / own.size
    se = np.sqrt(share * variance + (1.0 - share) ** 2 * mean_variance)
    reach = t_quantile(0.95, own.size - 1) * se
    return tuple(
        DeloadEvent(int(w), 100.0 * float(m), 100.0 * float(m - r), 100.0 * float(m + r))
        for w, m, r in zip(rows.week[is_event], shrunk, reach, strict=True)
    )
