"""How far a finding is supported: one stated rule a question, from interval, placebo and data.

Until placebo and stability checks have run on a person's own record, no estimate is called more
than fair; a plain count (how many sets were done) needs no inference and is firm.
"""

from typing import NamedTuple

FAIR_SLOPE_WEEKS = 40
FAIR_SLOPE_HALF_WIDTH = 4.0
FAIR_RECORD_WEEKS = 156
FAIR_LEVEL_SE_PCT = 3.0
FAIR_WIDTH_OF_PRIOR = 0.85
FAIR_BLOCKS = 15
FAIR_DELOADS = 8
PLACEBO_SHARE = 0.05
FAIR_LAYOFFS = 5
FAIR_LIFTERS = 10
FAIR_TAPINGS = 12


class Support(NamedTuple):
    """The word on the page and what decided it."""

    word: str
    why: str


COUNTED = Support("firm", "a count, nothing is inferred")


def support_slope(weeks: int, half_width_pct: float, record_weeks: int) -> Support:
    """A slope: fair from 40 trained weeks and an interval within 4 % a year either way, in a record
    of three years.

    Shorter records hardly tell a change of habit (reserve written down or not, new lifts) from
    strength: on simulated ones of two years, 95 % intervals held about 80 % of true slopes.
    """
    if record_weeks < FAIR_RECORD_WEEKS:
        return Support("thin", f"{record_weeks} weeks of record, {FAIR_RECORD_WEEKS} for fair")
    if weeks < FAIR_SLOPE_WEEKS:
        return Support("thin", f"{weeks} trained weeks, {FAIR_SLOPE_WEEKS} for fair")
    if half_width_pct > FAIR_SLOPE_HALF_WIDTH:
        return Support("thin", f"interval of ±{half_width_pct:.1f} % a year, ±4 for fair")
    return Support("fair", f"{weeks} trained weeks, interval of ±{half_width_pct:.1f} % a year")


def support_search(found: int, what: str) -> Support:
    """The best of many looked at (a plateau, the least that held): thin, whatever its interval.

    On simulated careers 7 % of plateaus were moving by more than the limit, where 2.5 % were due.
    """
    return Support("thin", f"{found} {what}; picked from many, so its interval says too much")


def support_level(se_pct: float) -> Support:
    """A level: fair when its standard error is within 3 %."""
    word = "fair" if se_pct <= FAIR_LEVEL_SE_PCT else "thin"
    return Support(word, f"standard error {se_pct:.1f} %, 3 for fair")


def support_sets(blocks: int, width_of_prior: float, separated: bool) -> Support:
    """Best-supported sets: fair when narrower than the published prior and not mixed with diet.

    ``blocks`` are those of the band of training age itself: with few of them the answer is drawn
    from other ages along a straight line.
    """
    if not separated:
        return Support("thin", "not separated from dieting: no body weight, no phase declared")
    if width_of_prior > FAIR_WIDTH_OF_PRIOR:
        return Support("thin", f"interval {width_of_prior:.0%} as wide as the published average's")
    if blocks < FAIR_BLOCKS:
        return Support("thin", f"{blocks} blocks, {FAIR_BLOCKS} for fair")
    return Support("fair", f"{blocks} blocks, interval {width_of_prior:.0%} of the published one's")


def support_deloads(n: int, excludes_zero: bool, placebo_share: float) -> Support:
    """An effect of deloads: fair when fake dates hardly ever show as much.

    ``placebo_share`` is the share of fake date sets whose effect was at least as far from zero.
    """
    if not excludes_zero:
        return Support("thin", "the interval holds zero")
    if placebo_share > PLACEBO_SHARE:
        return Support("thin", f"{placebo_share:.0%} of fake dates show as much, 5 % for fair")
    if n < FAIR_DELOADS:
        return Support("thin", f"{n} deloads, {FAIR_DELOADS} for fair")
    return Support("fair", f"{n} deloads; {placebo_share:.0%} of fake dates show as much")


def support_layoffs(n: int) -> Support:
    """Loss against weeks off: fair from five layoffs on."""
    word = "fair" if n >= FAIR_LAYOFFS else "thin"
    return Support(word, f"{n} layoffs, {FAIR_LAYOFFS} for fair")


def support_measure(tapings: int, excludes_zero: bool) -> Support:
    """A girth: fair from twelve tapings on with zero outside. With four no 95 % interval can leave
    zero out (two-sided p is 0.08 at best), and short series are under-powered up to twelve."""
    if tapings < FAIR_TAPINGS:
        return Support("thin", f"{tapings} tapings, {FAIR_TAPINGS} for fair")
    word, where = ("fair", "without") if excludes_zero else ("thin", "with")
    return Support(word, f"{tapings} tapings, interval {where} zero")


def support_group(lifters: int) -> Support:
    """A mean over lifters: fair from ten of them on."""
    word = "fair" if lifters >= FAIR_LIFTERS else "thin"
    return Support(word, f"{lifters} lifters, {FAIR_LIFTERS} for fair")


REFUSED = "not enough"
