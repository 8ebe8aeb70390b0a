"""How much more of the same would tell: weeks for a slope, further deloads or nights for an effect.

Question: how much longer must a record go on until an interval is narrow enough? In: the interval
as it is, and what it rests on (weeks, deloads, nights). Out: whole weeks or pieces more, or None
where no amount within the limit would do.

Slope. Its standard error is that of the change between its two ends over the years between them.
The error of the change grows with the span and levels off, since both ends are read from the weeks
around them: in proportion to sqrt(1 - exp(-T / ``LEVELLING_WEEKS``)). The 52 weeks were read off
fitted indexes of simulated careers (error after 26, 52, 104 and 156 weeks in a ratio of about
0.61 : 0.83 : 1 : 1.06; seeds not recorded). Weeks so expected to a slope's width were 1.00 times
those needed (``python -m tests.recovery.measure_narrowing 200``, seeds 0 to 199); an assumption for
anybody's record.

Effect. Standard errors fall with the square root of the number of pieces. The new estimate is not
known yet; before the data it is normal around today's with variance se^2 - new se^2 (a flat prior's
pre-posterior, exact for a normal mean). The number given is the least after which the interval
leaves zero out more likely than not. Assumes pieces like those so far, independent of one another.
Refuses nothing: None where no number within reach would do.
"""

import math

LEVELLING_WEEKS = 52.0
MOST_WEEKS = 520
MOST_TIMES = 20  # beyond so many times the present pieces no number is given


def count_weeks_to_slope(
    half_width: float, span_weeks: float, limit: float, longest_weeks: float
) -> int | None:
    """Weeks more until a slope's interval reaches no further than ``limit`` either way.

    half_width, limit : %/year. span_weeks : weeks between the slope's two ends now, positive.
    longest_weeks : span of the question's window; beyond it the start moves along with the end.
    None when no span up to that is long enough, or it would take over ``MOST_WEEKS``.
    """
    for more in range(min(int(longest_weeks - span_weeks), MOST_WEEKS) + 1):
        longer = span_weeks + more
        error = math.sqrt(_levelled(longer) / _levelled(span_weeks))
        if half_width * error * span_weeks / longer <= limit:
            return more
    return None


def _levelled(weeks: float) -> float:
    return 1.0 - math.exp(-weeks / LEVELLING_WEEKS)


def count_pieces_to_tell(estimate: float, half_width: float, n: int, reach: float) -> int | None:
    """Further pieces until the interval leaves zero out more likely than not.

    estimate, half_width : of the effect now, ``half_width`` is ``reach`` standard errors.
    n : pieces behind it, at least 1. None when more than ``MOST_TIMES`` times as many are needed.
    """
    if abs(estimate) > half_width:
        return 0
    for more in range(1, MOST_TIMES * n + 1):
        if _chance_to_tell(estimate, half_width / reach, n, more, reach) >= 0.5:
            return more
    return None


def _chance_to_tell(estimate: float, se: float, n: int, more: int, reach: float) -> float:
    """Probability that with ``more`` further pieces the interval leaves zero out."""
    new_se = narrow_by_pieces(se, n, more)
    spread = math.sqrt(se**2 - new_se**2)
    above = _normal((estimate - reach * new_se) / spread)
    return above + _normal((-estimate - reach * new_se) / spread)


def narrow_by_pieces(width: float, n: int, more: int) -> float:
    """An effect's standard error, or width, after ``more`` further pieces like the ``n`` so far."""
    return width * math.sqrt(n / (n + more))


def _normal(value: float) -> float:
    """Standard normal distribution function."""
    return 0.5 * math.erfc(-value / math.sqrt(2.0))
