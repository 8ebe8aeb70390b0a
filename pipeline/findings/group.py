"""The group: how fast its lifters' muscles changed on average, and how much lifters differ."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import support_group
from pipeline.models.mixed import MixedFit, fit_random_slopes
from pipeline.models.weeks import t_quantile

METHOD = "random intercepts and slopes, REML"
COVERAGE = 0.95
EVERY_WEEKS = 4


def answer_group(
    index: pl.DataFrame, muscles: pl.DataFrame, weeks: pl.DataFrame, years: float
) -> list[Finding]:
    """Mean yearly progress of each muscle over the last ``years`` of every lifter.

    Parameters
    ----------
    index : ``model_muscle_index`` of all lifters. weeks : ``mart_week_lifter`` of all lifters.
    muscles : ``ref_muscle``.
    """
    last = weeks.group_by("lifter_id").agg(last_week=pl.col("week_start").max())
    recent = index.join(last, on="lifter_id").with_columns(
        years=(pl.col("week_start") - pl.col("last_week")).dt.total_days() / DAYS_PER_YEAR
    )
    recent = recent.filter(pl.col("years") >= -years)
    every = recent.filter((pl.col("years") * 52.1775).round().cast(pl.Int64) % EVERY_WEEKS == 0)
    shown = muscles.filter("is_shown").sort("page_order").select("muscle_id", "name").rows()
    parts: Mapping = every.partition_by("muscle_id", as_dict=True)
    return [
        _find_mean(muscle_id, name, parts[(muscle_id,)])
        for muscle_id, name in shown
        if (muscle_id,) in parts
    ]


def _find_mean(muscle_id: str, name: str, rows: pl.DataFrame) -> Finding:
    level = 100.0 * rows["level_log"].to_numpy()
    fit = fit_random_slopes(rows["lifter_id"].to_numpy(), rows["years"].to_numpy(), level)
    common: dict[str, Any] = {
        "lifter_id": None,
        "question": "muscle_slope",
        "subject": f"muscle:{muscle_id}",
        "unit": "%/year",
        "method": METHOD,
        "window": "last",
    }
    if isinstance(fit, Refusal):
        return find_refused(fit, **common)  # type: ignore[arg-type]
    half = t_quantile(COVERAGE, fit.n_groups - 1) * fit.slope_se
    low, high = fit.slope - half, fit.slope + half
    return find_answered(
        support_group(fit.n_groups),
        **common,
        estimate=fit.slope,
        low=low,
        high=high,
        coverage=COVERAGE,
        n=fit.n_groups,
        n_of="lifters",
        sentence=_say(name, fit, low, high),
    )


def _say(name: str, fit: MixedFit, low: float, high: float) -> str:
    spread = say_number(fit.slope_sd) if np.isfinite(fit.slope_sd) else "0"
    return (
        f"{name.capitalize()}: {say_change(fit.slope)} % a year {say_interval(low, high)} on "
        f"average over {fit.n_groups} lifters; they spread by a standard deviation of "
        f"{spread} % a year, the error of each one's own slope included."
    )
