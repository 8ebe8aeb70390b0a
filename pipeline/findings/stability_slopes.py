"""Does a slope hang on one of its years? Its window without each, from the levels as fitted.

A window of two years or more is cut into years, a shorter one into quarters. The slope without a
piece is the change of the others over their time; its standard error is the finding's own, for
so much less time: changes of a smoothed level in different years err nearly independently.
"""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import polars as pl

from pipeline.core.calendar import say_date
from pipeline.findings.stability_rows import Check, Row, check_choice
from pipeline.models.weeks import WEEKS_PER_YEAR

LEVELS = {
    "lift_slope": ("model_lift_level", "exercise_id"),
    "muscle_slope": ("model_muscle_index", "muscle_id"),
}
LEAST_YEARS = 2
QUARTERS = 4


def check_slopes(tables: Mapping[str, pl.DataFrame], rows: list[Row]) -> Iterator[Check]:
    """Every slope of ``rows`` without each of its years or quarters.

    ``tables`` holds ``model_lift_level`` and ``model_muscle_index`` of the lifter.
    """
    levels = {name: _levels_of(tables[name], key) for name, key in LEVELS.values()}
    for row in rows:
        table, _ = LEVELS[row["question"]]
        yield from _check_pieces(row, levels[table][row["subject"].split(":", 1)[1]])


def _levels_of(table: pl.DataFrame, key: str) -> dict[str, dict[date, float]]:
    """Level in log by first day of the week, by lift or muscle."""
    parts = table.select(key, "week_start", "level_log").partition_by(key, as_dict=True)
    return {
        str(name): dict(part.select("week_start", "level_log").iter_rows())
        for (name,), part in parts.items()
    }


def _check_pieces(row: Row, level: Mapping[date, float]) -> Iterator[Check]:
    first, last = row["from_date"], row["to_date"] - timedelta(days=6)
    weeks = (last - first).days // 7
    years = round(weeks / WEEKS_PER_YEAR)
    is_long = years >= LEAST_YEARS
    name, n_pieces = ("left_out_year", years) if is_long else ("left_out_quarter", QUARTERS)
    cuts = np.linspace(0, weeks, n_pieces + 1).round().astype(int)
    days = [first + timedelta(weeks=int(cut)) for cut in cuts]
    if any(day not in level for day in days):
        return
    rise = level[days[-1]] - level[days[0]]
    for (start, end), length in zip(pairwise(days), np.diff(cuts), strict=True):
        left = (weeks - length) / WEEKS_PER_YEAR
        slope = 100.0 * (rise - (level[end] - level[start])) / left
        wider = np.sqrt(weeks / (weeks - length))
        found = (
            slope,
            slope - wider * (row["estimate"] - row["low"]),
            slope + wider * (row["high"] - row["estimate"]),
        )
        yield check_choice(row, name, f"{say_date(start)} to {say_date(end)}", found)
