"""The ratio of two sides of the body, quarter by quarter, and the last one against those before.

Question: how do the weekly sets (or the strength) of one side stand to those of the other now,
against this lifter's own history? In: weekly sets (n_weeks,) of either side, nan in unlogged weeks;
or the weekly strength indexes of either side's muscles, (m, n_weeks) natural log with standard
errors, nan where unknown. Out: one ratio a quarter of 13 weeks, counted back from the end of the
record, and where the last one lies in the spread of the others.

Strength indexes have no common scale: each side is taken against its own start, the first quarter
in which every muscle of both sides is known, so a ratio of 1 means "as at the start" and nothing
about which side is stronger. The index of a side is the mean of its muscles' (own derivation). An
interval takes the errors of muscles and of the two quarters as independent, and those of the weeks
of a quarter as one (a smoothed index hardly differs within it): assumptions. A muscle whose index
begins later than a year into the record would shorten it, and is left out. A ratio of counts has no
interval: nothing is inferred. No norm is known or used. Refuses a side without sets or indexes, and
the comparison below ``LEAST_QUARTERS`` earlier quarters (two years; common practice, no published
source).
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.weeks import normal_quantile

QUARTER = 13
LEAST_QUARTERS = 8
LATEST_START = 52
SPREAD = (10.0, 90.0)
COVERAGE = 0.95


@dataclass(frozen=True)
class Ratios:
    """One element a quarter in which both sides are known.

    Attributes
    ----------
    start_week, weeks : (q,) first week, and weeks of it with a known value.
    over, under : (q,) sets a week, or index in log against the start.
    ratio : (q,) over to under.
    low, high : (q,) interval; nan of counts.
    is_last : the last element is the quarter with which the record ends.
    """

    start_week: Ints
    weeks: Ints
    over: Floats
    under: Floats
    ratio: Floats
    low: Floats
    high: Floats
    is_last: bool


@dataclass(frozen=True)
class OwnHistory:
    """The last quarter against those before: ratios and ``reads_as`` (higher, lower, usual)."""

    ratio: float
    low: float
    high: float
    usual: float
    usual_low: float
    usual_high: float
    quarters: int
    reads_as: str


def count_ratios(over: Floats, under: Floats) -> Ratios | Refusal:
    """Ratios of weekly sets, each (n_weeks,), nan in unlogged weeks.

    A quarter with less than half of its weeks logged is left out, and so is one in which a side was
    not trained: its ratio would be nothing or without end.
    """
    rows: list[tuple[float, ...]] = []
    starts = quarter_starts(len(over))
    for start in starts:
        weeks = slice(start, start + QUARTER)
        known = np.isfinite(over[weeks]) & np.isfinite(under[weeks])
        if known.sum() * 2 < QUARTER:
            continue
        first, second = float(over[weeks][known].mean()), float(under[weeks][known].mean())
        if first > 0 and second > 0:
            rows.append((start, known.sum(), first, second, first / second, np.nan, np.nan))
    return _lay(rows, starts, "quarters with sets of both sides", "train both sides")


def strength_ratios(
    over: Floats, over_se: Floats, under: Floats, under_se: Floats
) -> Ratios | Refusal:
    """Ratios of strength against the own start, from (m, n_weeks) log indexes and their errors."""
    sides = [_keep_early(over, over_se), _keep_early(under, under_se)]
    if any(len(level) == 0 for level, _ in sides):
        return Refusal(
            has=min(len(level) for level, _ in sides),
            needs=1,
            of_what="muscles of the rarer side with an index from the record's first year on",
            remedy="train both sides with lifts that stay",
        )
    is_known = np.all([np.isfinite(level).all(axis=0) for level, _ in sides], axis=0)
    starts = quarter_starts(len(is_known))
    rows: list[tuple[float, ...]] = []
    base: list[tuple[float, float]] | None = None
    for start in starts:
        weeks = is_known & _within(len(is_known), start)
        if weeks.sum() * 2 < QUARTER:
            continue
        now = [_mean_side(level, se, weeks) for level, se in sides]
        if base is None:
            base = now
        rows.append((start, weeks.sum(), *_compare(now, base)))
    return _lay(rows, starts, "quarters with the index of both sides", "train both sides")


def compare_with_own(ratios: Ratios) -> OwnHistory | Refusal:
    """The last quarter against the median and the middle four fifths of those before.

    Counts read as higher or lower outside that spread; strength where its whole interval lies
    beyond the median and its ratio outside the spread.
    """
    before = ratios.ratio[:-1]
    if not ratios.is_last or before.size < LEAST_QUARTERS:
        return Refusal(
            has=int(before.size) if ratios.is_last else 0,
            needs=LEAST_QUARTERS,
            of_what="earlier quarters to compare the last one with",
            remedy="go on logging both sides",
            counted="other",
        )
    now, low, high = (float(one[-1]) for one in (ratios.ratio, ratios.low, ratios.high))
    usual, usual_low, usual_high = np.percentile(before, [50.0, *SPREAD])
    is_above = now > usual_high and not low <= usual
    is_below = now < usual_low and not high >= usual
    return OwnHistory(
        ratio=now,
        low=low,
        high=high,
        usual=float(usual),
        usual_low=float(usual_low),
        usual_high=float(usual_high),
        quarters=int(before.size),
        reads_as="higher" if is_above else "lower" if is_below else "usual",
    )


def quarter_starts(n_weeks: int) -> list[int]:
    """First weeks of the quarters, counted back from the end of the record, in order of time."""
    return list(range(n_weeks % QUARTER, n_weeks - QUARTER + 1, QUARTER))


def _within(n_weeks: int, start: int) -> Bools:
    week = np.arange(n_weeks)
    return (week >= start) & (week < start + QUARTER)


def _keep_early(level: Floats, se: Floats) -> tuple[Floats, Floats]:
    """The muscles whose index begins in the first year of the record."""
    keep = np.isfinite(level[:, :LATEST_START]).any(axis=1)
    return level[keep], se[keep]


def _mean_side(level: Floats, se: Floats, weeks: Bools) -> tuple[float, float]:
    """Mean index of a side over these weeks, and its standard error."""
    errors = se[:, weeks].mean(axis=1)
    return float(level[:, weeks].mean()), float(np.sqrt(np.sum(errors**2)) / len(errors))


def _compare(
    now: list[tuple[float, float]], base: list[tuple[float, float]]
) -> tuple[float, float, float, float, float]:
    """Either side against its start, their ratio, and its interval (none at the start itself)."""
    over, under = (side[0] - start[0] for side, start in zip(now, base, strict=True))
    error = 0.0 if now is base else float(np.linalg.norm([one[1] for one in (*now, *base)]))
    reach = normal_quantile(COVERAGE) * error
    gap = over - under
    return over, under, float(np.exp(gap)), float(np.exp(gap - reach)), float(np.exp(gap + reach))


def _lay(
    rows: list[tuple[float, ...]], starts: list[int], what: str, remedy: str
) -> Ratios | Refusal:
    if not rows:
        return Refusal(has=0, needs=1, of_what=what, remedy=remedy)
    table = np.array(rows, dtype=np.float64).T
    first, weeks, over, under, ratio, low, high = table
    return Ratios(
        start_week=first.astype(np.int64),
        weeks=weeks.astype(np.int64),
        over=over,
        under=under,
        ratio=ratio,
        low=low,
        high=high,
        is_last=bool(rows[-1][0] == starts[-1]),
    )
