"""The static horizon of a lifter, for every page of his or hers."""

from datetime import date, timedelta
from functools import lru_cache

import polars as pl
from markupsafe import Markup

from dashboards.charts.horizon import draw_horizon
from dashboards.charts.sizes import HorizonSize
from dashboards.prepare.runs import step_runs
from dashboards.theme.chart import draw_still, specification
from dashboards.theme.colours import FAMILIES

BIN_WEEKS = 4
# Half the width of a year's four figures.
HALF_YEAR_PX = 13


def horizon_steps(logged: pl.DataFrame, weeks: int) -> pl.DataFrame:
    """Stacked four-week means: w, s, family, low, high.

    ``logged``: w, family, v (sets of the family in the week), weeks with training only.
    """
    full = (
        logged.pivot("family", index="w", values="v")
        .fill_null(0)
        .unpivot(index="w", variable_name="family", value_name="v")
        .with_columns(pl.col("family").replace_strict(_order(), default=9).alias("f"))
    )
    steps = step_runs(full, by="f", bin_weeks=BIN_WEEKS, end=weeks).sort("f", "w", "c")
    # Legs lie lowest, as in the strips: the last family is stacked first.
    stacked = steps.sort("w", "c", "f", descending=[False, False, True]).with_columns(
        high=pl.col("v").cum_sum().over("w", "c")
    )
    return (
        stacked.with_columns(low=pl.col("high") - pl.col("v"))
        .select("w", "s", "family", pl.col("low").round(1), pl.col("high").round(1))
        .sort("s", "w")
    )


def _order() -> dict[str, int]:
    return {family: i for i, family in enumerate(FAMILIES)}


def year_marks(first: date, weeks: int, every: int = 1) -> pl.DataFrame:
    """The weeks in which years begin: w (real), label; every ``every``-th year."""
    last = first + timedelta(weeks=weeks)
    rows = [
        {"w": round((date(year, 1, 1) - first).days / 7, 2), "label": str(year)}
        for year in range(first.year + 1, last.year + 1)
        if year % every == 0
    ]
    return pl.DataFrame(rows, schema={"w": pl.Float64, "label": pl.String})


def _inside(years: pl.DataFrame, size: HorizonSize) -> str:
    """The years whose names are not cut at an end of the drawing, as CSV."""
    at = pl.col("w") * (size.width / size.weeks)
    return years.filter(at.is_between(HALF_YEAR_PX, size.width - HALF_YEAR_PX)).write_csv()


@lru_cache(maxsize=8)
def _render(csv: str, years: str, size: HorizonSize) -> Markup:
    chart = draw_horizon(_frame(csv), _frame(years).cast({"label": pl.String}), size)
    return draw_still(specification(chart))


def _frame(csv: str) -> pl.DataFrame:
    return pl.read_csv(csv.encode())


def render_for_sheets(logged: pl.DataFrame, first: date, weeks: int) -> Markup:
    """The horizon for printed sheets, 703 px wide."""
    steps = horizon_steps(logged, weeks).write_csv()
    size = HorizonSize(703, 22, 36, weeks)
    years = year_marks(first, weeks, 1 if weeks <= 15 * 52 else 2)
    return _render(steps, _inside(years, size), size)


def render_horizon(logged: pl.DataFrame, first: date, weeks: int) -> tuple[Markup, Markup]:
    """The horizon as static SVG for a wide page and for a phone.

    Cached by content: all pages of one lifter carry the same one.
    """
    steps = horizon_steps(logged, weeks).write_csv()
    years = weeks / 52
    wide = HorizonSize(1200, 30, 46, weeks)
    narrow = HorizonSize(366, 22, 37, weeks)
    wide_years = year_marks(first, weeks, 1 if years <= 25 else 2)
    narrow_years = year_marks(first, weeks, 1 if years <= 6 else 2 if years <= 14 else 5)
    return (
        _render(steps, _inside(wide_years, wide), wide),
        _render(steps, _inside(narrow_years, narrow), narrow),
    )
