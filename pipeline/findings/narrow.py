"""What would narrow each answer: the one block, the years, or the further pieces it would take.

Called once all other questions are answered; it fills ``needs`` and never touches an estimate. A
block is proposed only for weekly sets, only within what was trained, and not while an injury is
declared. A layoff is never proposed, and neither is more of anything that is no choice (nights,
deloads): there the number is told.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import polars as pl

from pipeline.core.counted import as_counted, say_count
from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.say import say_number, say_range
from pipeline.findings.support import (
    FAIR_RECORD_WEEKS,
    FAIR_SLOPE_HALF_WIDTH,
    REFUSED,
)
from pipeline.models.narrowing.blocks import (
    RECENT_WEEKS,
    BlockSearch,
    Outlook,
    PlanValue,
    count_years,
)
from pipeline.models.narrowing.counts import count_pieces_to_tell, count_weeks_to_slope
from pipeline.models.narrowing.plans import WEEKS, find_limits, list_plans
from pipeline.models.volume.blocks import WEEKS_IN_BLOCK
from pipeline.models.weeks import WEEKS_PER_YEAR, normal_quantile

SLOPES = ("lift_slope", "muscle_slope")
MOST_YEARS = 20
EFFECTS = {"deload_effect": "deloads", "signal_effect": "sessions with a reading"}


@dataclass(frozen=True)
class Narrowed:
    """Findings with ``needs`` filled, and table ``model_narrowing``."""

    findings: tuple[Finding, ...]
    table: pl.DataFrame


def narrow_findings(
    record: Record,
    findings: Iterable[Finding],
    outlook: Outlook | None,
    thresholds: Mapping[str, float],
) -> Narrowed:
    """Every finding, with what would narrow it where that can be said.

    outlook : the pooled fit of the weekly sets; None where there is none, or none is asked for.
    thresholds : settings by name.
    """
    kept: list[Finding] = []
    rows: list[dict[str, object]] = []
    years = {} if outlook is None else count_years(outlook)
    search = None if outlook is None else BlockSearch(outlook, WEEKS)
    for one in findings:
        muscle_id = one.subject.partition(":")[2]
        is_sets = one.question == "supported_sets" and one.window == "now"
        if is_sets and one.estimate is not None and outlook and search and muscle_id in years:
            plans = list_plans(
                find_limits(outlook.weekly_sets[muscle_id], outlook.is_used[muscle_id])
            )
            sets = _Sets(record, one, search.find_best(muscle_id, plans), years[muscle_id])
            kept.append(sets.finding())
            rows.append(sets.row())
            continue
        needs = _say_needs(record, one, thresholds)
        kept.append(one if needs is None else replace(one, needs=needs))
    table = pl.DataFrame(rows, infer_schema_length=None) if rows else None
    return Narrowed(
        tuple(kept),
        empty_frame("model_narrowing") if table is None else conform("model_narrowing", table),
    )


class _Sets:
    """The block and the years of one muscle's best weekly sets."""

    def __init__(
        self, record: Record, finding: Finding, best: PlanValue, years: float | None
    ) -> None:
        self._finding, self._muscle_id = finding, finding.subject.partition(":")[2]
        lifts = [one for one, (direct, _) in record.muscles_of.items() if self._muscle_id in direct]
        self._is_injured = bool(record.injured_weeks(lifts)[-1])
        self._best, self._years = best, None if best.narrows else years

    @property
    def _ends(self) -> tuple[float, float]:
        """Ends of the interval expected after the block, about today's estimate."""
        one, ratio = self._finding, self._best.ratio
        middle, low, high = one.estimate or 0.0, one.low or 0.0, one.high or 0.0
        return middle - ratio * (middle - low), middle + ratio * (high - middle)

    def finding(self) -> Finding:
        """The finding with what would narrow it, at the end of its sentence too."""
        said, more = self._say()
        sentence = f"{self._finding.sentence} What would narrow it: {said}."
        return replace(self._finding, needs=f"{said}{more}", sentence=sentence)

    def _say(self) -> tuple[str, str]:
        """What would narrow it, and the figures behind that."""
        if self._is_injured:
            return "an injury is declared, so no block is proposed while it lasts", ""
        block = _say_block(self._best)
        if self._best.narrows:
            low, high = (max(end, 0.0) for end in self._ends)
            return f"{block}, to about {say_range(low, high)} if the estimate stays", ""
        years = f"more than {MOST_YEARS}" if self._years is None else f"about {self._years:g}"
        share = 100.0 * (1.0 - self._best.ratio)
        taken = f"{say_number(share, 0)} %" if share >= 1.0 else "less than 1 %"
        return (
            f"no one block would tell; {years} years of training like this would",
            f" (a quarter off the interval; the best block, {block}, takes off {taken})",
        )

    def row(self) -> dict[str, object]:
        """Row of ``model_narrowing``."""
        levels = self._best.plan.levels
        return {
            "lifter_id": self._finding.lifter_id,
            "muscle_id": self._muscle_id,
            "weeks": WEEKS,
            "first_sets": levels[0],
            "then_sets": levels[1] if len(levels) > 1 else None,
            "width_share": self._best.ratio,
            "low_after": self._ends[0],
            "high_after": self._ends[1],
            "narrows": self._best.narrows,
            "is_proposed": self._best.narrows and not self._is_injured,
            "years": self._years,
        }


def _say_block(value: PlanValue) -> str:
    levels = [say_number(level, 0) for level in value.plan.levels]
    if len(levels) == 1:
        return f"{WEEKS} weeks at about {levels[0]} weekly sets"
    half = WEEKS // 2
    return f"{half} weeks at about {levels[0]} weekly sets and then {half} at about {levels[1]}"


def _say_needs(record: Record, one: Finding, thresholds: Mapping[str, float]) -> str | None:
    """What would narrow a finding other than weekly sets; None leaves it as it is."""
    if one.question in SLOPES and one.window == "last":
        if one.support == REFUSED:
            return _say_trained_weeks(record, one, thresholds)
        return _say_slope(record, one, thresholds)
    if one.question == "supported_sets" and one.counted == "comparisons":
        return _say_comparisons(record, one)
    if one.estimate is None or one.low is None or one.high is None:
        return None
    if one.question in EFFECTS:
        return _say_pieces(record, one)
    return None


def _say_comparisons(record: Record, one: Finding) -> str | None:
    """Weeks or years until there are enough comparisons of blocks, trained as in the last two."""
    share = float(record.trained[-RECENT_WEEKS:].mean())
    missing = (one.needed or 0.0) - one.n
    if missing <= 0 or share == 0.0:
        return None
    weeks = missing * WEEKS_IN_BLOCK / share
    if weeks <= WEEKS:
        return (
            f"{one.needs}: about {say_count(math.ceil(weeks), 'more weeks')} of training like this"
        )
    years = say_number(weeks / WEEKS_PER_YEAR)
    return f"{one.needs}: no one block would tell; about {years} years of training like this would"


def _say_slope(record: Record, one: Finding, thresholds: Mapping[str, float]) -> str | None:
    """Weeks until a slope's interval lies within the limit for fair support."""
    if one.low is None or one.high is None or one.from_date is None or one.to_date is None:
        return None
    span = (one.to_date - one.from_date).days / 7.0
    longest = thresholds["slope_window_years"] * WEEKS_PER_YEAR
    half = (one.high - one.low) / 2.0
    limit = FAIR_SLOPE_HALF_WIDTH
    if half > limit:
        weeks = count_weeks_to_slope(half, span, limit, longest)
        if weeks is None:
            return (
                f"longer training of this kind would not bring it within ±{limit:g} % a year; more "
                "trained weeks in the span, with repetitions in reserve written down, would"
            )
        more_weeks = say_count(weeks, "more weeks")
        return f"about {more_weeks} like these until it is within ±{limit:g} % a year"
    more = FAIR_RECORD_WEEKS - record.n_weeks
    return say_count(more, "more weeks of record") if more > 0 and one.support == "thin" else None


def _say_trained_weeks(record: Record, one: Finding, thresholds: Mapping[str, float]) -> str | None:
    """Weeks until enough of them are trained, at the pace of the last year."""
    missing = thresholds["slope_min_weeks"] - one.n
    if one.counted != "trained weeks" or missing <= 0:
        return None
    a_year = _trained_last_year(record, one.subject)
    window = thresholds["slope_window_years"]
    if a_year * window < thresholds["slope_min_weeks"]:
        return (
            f"{one.needs}: at {say_count(a_year, 'trained weeks')} a year there are never "
            f"{thresholds['slope_min_weeks']:g} in {window:g} years"
        )
    weeks = math.ceil(missing * WEEKS_PER_YEAR / a_year)
    return f"{one.needs}: about {say_count(weeks, 'more weeks')} at the pace of the last year"


def _trained_last_year(record: Record, subject: str) -> int:
    """Weeks of the last year with a set of the lift, or of a direct lift of the muscle."""
    kind, _, name = subject.partition(":")
    lifts = (
        [name]
        if kind == "lift"
        else [lift for lift, (direct, _) in record.muscles_of.items() if name in direct]
    )
    recent = record.strength_sets.filter(
        pl.col("exercise_id").is_in(lifts) & (pl.col("week") >= record.n_weeks - WEEKS_PER_YEAR)
    )
    return recent["week"].n_unique()


def _say_pieces(record: Record, one: Finding) -> str | None:
    """Further deloads or nights until the effect can be told, and the years that they take.

    Years at the pace of the whole record; None where the effect can be told already.
    """
    assert one.estimate is not None
    assert one.low is not None
    assert one.high is not None
    assert one.coverage is not None
    reach = normal_quantile(one.coverage)
    more = count_pieces_to_tell(one.estimate, (one.high - one.low) / 2.0, one.n, reach)
    if more == 0:
        return None
    years = math.inf if more is None else more * record.n_weeks / one.n / WEEKS_PER_YEAR
    if years > MOST_YEARS:
        return (
            f"no one block would tell, nor {MOST_YEARS} years like these if the effect is about "
            "what it looks like now"
        )
    assert more is not None
    what = as_counted(more, EFFECTS[one.question])
    return (
        f"about {more:,} more {what} like these would more likely than not tell, at this pace "
        f"about {say_number(years, 0 if years >= 2 else 1)} years"
    )
