"""Forecast of a level with its interval: the last level, plus a drift shrunk hard.

Question: how strong will this person be ``years_ahead`` from the last value of the history?
In: ``History``: dates in years, values in kg (any positive measure), training age and standard
errors where known; irregular dates are usual. Out: ``Forecast`` in the unit of the values.

Model: log(value ahead / last value) = x b + shift, x the features of ``steps``: log-time
growth, a constant rate, slower growth of the strong, the person's own rate so far, and the return
of a last value that stood off those before it. A straight line through a person's values promises
far too much; "no change" is hard to beat (METHODS f), so every coefficient is drawn toward a prior:
how hard, and whether toward the published drift or toward none, is chosen by the absolute error on
people kept apart. Interval: quantiles of the errors on people kept apart, each divided by a scatter
that may grow with the years ahead and the person's own scatter (split conformal in form).

Published drift, used where there is no group. By training age where it is known: about 40 % in the
first year, straight in the logarithm of weeks (Steele et al. 2023, read), 40 % / ln 52 for each
e-fold (computed). Else by years of competing: about 10 % in the first year and up to about 20 % in
ten (Latella et al. 2024, read), 10 % / ln 10 for each e-fold (computed).

Assumptions: the person goes on as those it was learnt from did (forecasts are of people who come
back); a group holds one kind of measure. From fitted levels (``value_se`` given) only growth with
age and time is learnt and used: a smoothed level would seem to tell its own future. Refuses more
than ``MOST_YEARS`` ahead, and groups under ``MIN_PEOPLE``.

To forecast people never seen from others: ``group = fit_drift(others)``, then
``forecast(history, years_ahead, group)`` for each.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats
from pipeline.models.forecast.group import (
    PROBABILITIES,
    GroupDrift,
    base_scatter,
    fit_drift,
    published_drift,
    scatter_of,
)
from pipeline.models.forecast.steps import History, features_at, noise_at, traits_at
from pipeline.models.weeks import normal_quantile

__all__ = [
    "Forecast",
    "GroupDrift",
    "History",
    "fit_drift",
    "forecast",
    "published_drift",
    "sum_forecasts",
]


MOST_YEARS = 10.0  # the span of the published drift; further is not forecast
# How far the forecast errors of one person's lifts go together: 0.43 to 0.45 between barbell lifts
# of 200 simulated careers (seeds not recorded, no command repeats it); an assumption for real ones.
BETWEEN_LIFTS = 0.45


@dataclass(frozen=True)
class Forecast:
    """Value ahead with its interval, in the unit of the history, and "no change" beside it.

    change_pct : forecast against the last value. spread_log : half the central 68 % of the log
    value ahead. group : the drift it rests on.
    """

    value: float
    low: float
    high: float
    last: float
    years_ahead: float
    coverage: float
    change_pct: float
    spread_log: float
    n_values: int
    group: GroupDrift

    def widened(self, se_log: float) -> "Forecast":
        """With a further error of the level, in logs, that no history shows (a lift's height)."""
        reach = normal_quantile(self.coverage) * se_log
        down = np.hypot(np.log(self.value / self.low), reach)
        up = np.hypot(np.log(self.high / self.value), reach)
        low, high = self.value * np.exp([-down, up])
        spread = float(np.hypot(self.spread_log, se_log))
        return replace(self, low=float(low), high=float(high), spread_log=spread)


def forecast(
    history: History,
    years_ahead: float,
    group: GroupDrift | None = None,
    coverage: float = 0.8,
) -> Forecast | Refusal:
    """Forecast one person from the history alone and what others taught.

    Parameters
    ----------
    history : values up to now; the last one is the anchor.
    years_ahead : above 0, at most ``MOST_YEARS``.
    group : from ``fit_drift``; None takes the published drift and scatter.
    coverage : of the interval, at most 0.99.

    Returns
    -------
    Forecast, or Refusal further ahead than ``MOST_YEARS``.
    """
    from scipy.special import ndtri

    if not 0.0 < years_ahead <= MOST_YEARS:
        return Refusal(
            years_ahead, MOST_YEARS, "years ahead", "ask for a nearer date", is_most=True
        )
    drift = group or published_drift(history.training_age_years is not None)
    x = features_at(history, years_ahead, drift.centre)
    change = float(x @ np.array(drift.coefficients)) + drift.shift
    base = base_scatter(np.array([years_ahead]), np.array([noise_at(history)]))
    scatter = float(scatter_of(np.array(drift.scale), traits_at(history, years_ahead), base)[0])
    tail = (1.0 - coverage) / 2.0
    ends = [tail, 1.0 - tail, 0.16, 0.84]
    low, high, less, more = scatter * np.interp(ndtri(ends), ndtri(PROBABILITIES), drift.quantiles)
    last = float(history.values[-1])
    value = last * float(np.exp(change))
    return Forecast(
        value=value,
        low=value * float(np.exp(min(low, 0.0))),
        high=value * float(np.exp(max(high, 0.0))),
        last=last,
        years_ahead=years_ahead,
        coverage=coverage,
        change_pct=100.0 * (value / last - 1.0),
        spread_log=float(more - less) / 2.0,
        n_values=int(history.values.size),
        group=drift,
    )


def sum_forecasts(parts: Sequence[Forecast]) -> Forecast:
    """The sum of several lifts of one person on one day, with its joint interval.

    Errors of the parts in their own unit go together by ``BETWEEN_LIFTS``, on each side apart:
    reach^2 = (1 - r) sum(reach_i^2) + r (sum reach_i)^2. One part is itself.
    """
    value, low, high, last, spread = (
        np.array([getattr(one, name) for one in parts])
        for name in ("value", "low", "high", "last", "spread_log")
    )

    def joint(reach: Floats) -> float:
        r = BETWEEN_LIFTS
        return float(np.sqrt((1.0 - r) * (reach**2).sum() + r * reach.sum() ** 2))

    total = float(value.sum())
    return replace(
        parts[0],
        value=total,
        low=total - joint(value - low),
        high=total + joint(high - value),
        last=float(last.sum()),
        change_pct=100.0 * (total / float(last.sum()) - 1.0),
        spread_log=joint(value * spread) / total,
        n_values=min(one.n_values for one in parts),
    )
