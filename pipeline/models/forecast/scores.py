"""How well forecasts held that were written down before their day came.

Question: which share of what came lay inside the intervals, and did the forecasts err less than "no
change"? In: ``Kept``, arrays (n,) of forecasts whose day has come, errors in log x 100. Out:
``Scored``: the share and the paired difference of the mean absolute errors, each with its interval.

Forecasts of one person go wrong together: all lifts share the months that came, and one lift keeps
the error of the level that its forecasts started from. So errors are clustered two ways, by the
half-year of their day and by subject (Cameron, Gelbach and Miller 2011), with half the covariances
of neighbouring half-years, since a year ahead reaches over two (Newey and West 1987, one lag),
widened by G / (G - 1) of G half-years, t quantiles of G - 1 degrees of freedom. The share has the
interval of Wilson (1927) for as many independent forecasts as that variance leaves.

Assumptions: half-years further apart are independent of each other but for the subject's own error.
Refuses under ``LEAST_KEPT`` forecasts or ``LEAST_SPANS`` half-years.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints

COVERAGE = 0.90
LEAST_KEPT = 20  # a share of fewer moves by five points with one forecast
LEAST_SPANS = 4  # with three the t quantile is 2.9


@dataclass(frozen=True)
class Kept:
    """Forecasts whose day has come, all (n,).

    inside : what came lay inside the interval. error, error_unchanged : what came less the forecast
    and less "no change", log x 100. span : number of the half-year of the day. subject : number of
    the lift or muscle.
    """

    inside: Bools
    error: Floats
    error_unchanged: Floats
    span: Ints
    subject: Ints


@dataclass(frozen=True)
class Scored:
    """share, beyond : estimate, low, high of the share inside (0 to 1) and of the mean absolute
    error less that of "no change" (log x 100). error, error_unchanged : the two means. n, spans :
    forecasts and half-years."""

    share: tuple[float, float, float]
    beyond: tuple[float, float, float]
    error: float
    error_unchanged: float
    n: int
    spans: int


def score_kept(kept: Kept) -> Scored | Refusal:
    """Share inside and error against "no change"; a refusal of too few."""
    n, spans = int(kept.inside.size), int(np.unique(kept.span).size)
    if n < LEAST_KEPT:
        remedy = "their days lie ahead: each counts at the first refresh after it"
        return Refusal(n, LEAST_KEPT, "predictions whose day has come", remedy)
    if spans < LEAST_SPANS:
        remedy = "go on until predictions of more half-years have come"
        return Refusal(spans, LEAST_SPANS, "half-years with such predictions", remedy)
    beyond = np.abs(kept.error) - np.abs(kept.error_unchanged)
    mean = float(beyond.mean())
    reach = _t_quantile(spans) * float(np.sqrt(_clustered(beyond, kept)))
    return Scored(
        share=_share(kept.inside.astype(float), kept),
        beyond=(mean, mean - reach, mean + reach),
        error=float(np.abs(kept.error).mean()),
        error_unchanged=float(np.abs(kept.error_unchanged).mean()),
        n=n,
        spans=spans,
    )


def _clustered(values: Floats, kept: Kept) -> float:
    """Variance of the mean, errors clustered by half-year and by subject (two ways)."""
    off = (values - values.mean()) / values.size
    spans, number = np.unique(kept.span, return_inverse=True)
    sums = np.bincount(number, weights=off)
    beside = float((sums[1:] * sums[:-1])[np.diff(spans) == 1].sum())
    by_span = float((sums**2).sum()) + max(beside, 0.0)
    subjects = np.unique(kept.subject, return_inverse=True)[1]
    by_subject = float((np.bincount(subjects, weights=off) ** 2).sum())
    both = max(by_span + by_subject - float((off**2).sum()), by_span)
    return both * spans.size / (spans.size - 1)


def _share(inside: Floats, kept: Kept) -> tuple[float, float, float]:
    """Share and Wilson's interval for as many independent forecasts as the clusters leave."""
    share, spans = float(inside.mean()), int(np.unique(kept.span).size)
    variance = _clustered(inside, kept)
    own = share * (1.0 - share)  # zero where all or none held: then the half-years alone count
    worth = own / max(variance, 1e-12) if own else float(spans)
    n = float(np.clip(worth, min(spans, LEAST_SPANS), inside.size))
    z2 = _t_quantile(spans) ** 2
    middle = (share + z2 / (2.0 * n)) / (1.0 + z2 / n)
    reach = np.sqrt(z2 * (share * (1.0 - share) / n + z2 / (4.0 * n**2))) / (1.0 + z2 / n)
    return share, float(middle - reach), float(middle + reach)


def _t_quantile(spans: int) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(spans - 1, 0.5 + COVERAGE / 2.0))
