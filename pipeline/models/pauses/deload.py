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
windows overlap) and widened by ``WIDENING``. The first coefficient is the effect. Weekly strength
comes from sets with recorded reserve only: on submaximal sets without it about a third of an effect
vanishes (METHODS section e). Weeks of complete rest can be asked about in the same way; a kind of
pause that is not asked about has columns of its own.

Assumes that weeks alike in what went before would have gone on alike, that an effect lasts weeks
and not months, and that quarters of a year err independently.

It refuses with fewer than ``LEAST_DELOADS`` deloads that have logged weeks around them, and where
strength hardly ever differs from week to week: sets that are always alike cannot tell.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.pauses.deload_paths import Paths, event_paths, matched_paths, mean_path
from pipeline.models.pauses.deload_regression import blank_weeks, lay_out, regress
from pipeline.models.pauses.deload_single import DeloadEvent, pool_events
from pipeline.models.weeks import t_quantile

LEAST_DELOADS = 4
LEAST_SPREAD = 0.0001  # log, as for signals


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


def fit_deload_response(
    week_strength: Floats,
    weights: Floats,
    deload_weeks: Ints,
    left_out: Bools | None = None,
    other_weeks: Ints | None = None,
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
    other_weeks : (n_others,) weeks of another kind of pause, which stay in the regression as such.

    Returns
    -------
    DeloadResponse, or Refusal below ``LEAST_DELOADS`` readable deloads or ``LEAST_SPREAD``.
    """
    deloads = np.unique(np.asarray(deload_weeks, dtype=np.int64))
    strength = blank_weeks(week_strength, deloads, left_out)
    rows, columns = lay_out(strength, weights, deloads, other_weeks)
    readable = deloads[np.isin(deloads, rows.week)]
    if readable.size < LEAST_DELOADS:
        return Refusal(
            has=int(readable.size),
            needs=LEAST_DELOADS,
            of_what="deloads with recorded reps in reserve in the weeks around them",
            remedy="write down repetitions in reserve in the weeks before and after a deload",
        )
    spread = float(np.std(rows.rise))
    if spread < LEAST_SPREAD:
        return Refusal(
            has=round(spread, 5),
            needs=LEAST_SPREAD,
            of_what="log units of spread of weekly strength",
            remedy="write repetitions and reserve down as they were, not as they were planned",
        )
    effect = regress(rows, columns)
    paths = event_paths(strength, readable, deloads)
    ordinary = matched_paths(strength, rows.week, rows.change_before, readable, deloads)
    return DeloadResponse(
        effect_pct=100.0 * effect.value,
        se_pct=100.0 * effect.se,
        n=int(readable.size),
        n_of=int(deloads.size),
        events=pool_events(rows, columns, effect, readable),
        after_deloads=mean_path(paths),
        after_ordinary=mean_path(ordinary),
        event_paths=paths,
    )
