"""Whether the best-supported weekly sets of a lifter rose or fell with training age."""

from collections.abc import Mapping
from typing import Any

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_change, say_interval
from pipeline.findings.support import support_trend
from pipeline.models.volume.trend import ToleranceTrend, fit_tolerance_trend
from pipeline.models.volume.weekly_record import MuscleWeeks

METHOD = "trend of the joint concave response, likelihood to the power 0.5, MAP and Laplace"


def answer_trend(
    record: Record, weeks: Mapping[str, MuscleWeeks], shared: Mapping[str, Any]
) -> Finding:
    """One finding a lifter; ``shared`` are the remaining arguments of ``fit_volume_pool``."""
    trend = fit_tolerance_trend(weeks, record.training_age, **shared)
    lifter_id = record.lifter.lifter_id
    common = {
        "lifter_id": lifter_id,
        "question": "sets_trend",
        "subject": f"lifter:{lifter_id}",
        "method": METHOD,
        "unit": "sets/week/year",
    }
    if isinstance(trend, Refusal):
        return find_refused(trend, **common)
    return find_answered(
        support_trend(trend.is_separated_from_dieting, trend.direction != "unsure"),
        **common,
        estimate=trend.estimate,
        low=trend.low,
        high=trend.high,
        coverage=trend.coverage,
        n=trend.n_blocks,
        n_of=f"blocks of {trend.n_muscles} muscles",
        prior_estimate=(trend.prior_low + trend.prior_high) / 2,
        prior_low=trend.prior_low,
        prior_high=trend.prior_high,
        sentence=_say_trend(trend),
    )


def _say_trend(trend: ToleranceTrend) -> str:
    reading = {
        "rising": "Best-supported weekly sets rose with training age",
        "falling": "Best-supported weekly sets fell with training age",
        "unsure": "No sure trend of the best-supported weekly sets with training age",
    }[trend.direction]
    diet = "" if trend.is_separated_from_dieting else " Not separated from dieting."
    missed = (
        " A fall is found less often than a rise, and either is missed more often than found."
        if trend.direction == "unsure"
        else ""
    )
    return (
        f"{reading}: {say_change(trend.estimate, 2)} sets a week per year "
        f"{say_interval(trend.low, trend.high, 2)} from {trend.age_from:.1f} to "
        f"{trend.age_to:.1f} years of training, {trend.n_blocks} blocks of {trend.n_muscles} "
        f"muscles.{missed}{diet}"
    )
