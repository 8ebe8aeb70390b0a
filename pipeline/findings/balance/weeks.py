"""Pulling against pushing in the last weeks: a plain count of the weekly mart."""

from datetime import timedelta
from typing import Any

import polars as pl

from pipeline.core.counted import say_count
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record, earliest, latest
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_number
from pipeline.findings.support import COUNTED

BALANCE_WEEKS = 12


def answer_balance(record: Record, week_lifter: pl.DataFrame) -> Finding:
    """Pulling sets for each pushing set over the last twelve weeks: a count, no norm."""
    weeks = week_lifter.sort("week_start").tail(BALANCE_WEEKS)
    weeks = weeks.drop_nulls(["pushing_sets", "pulling_sets"])  # unlogged weeks tell nothing
    asked = min(week_lifter.height, BALANCE_WEEKS)
    push, pull = float(weeks["pushing_sets"].sum()), float(weeks["pulling_sets"].sum())
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "question": "balance",
        "subject": f"lifter:{record.lifter.lifter_id}",
        "unit": "ratio",
        "method": "count of direct sets",
        "window": "last",
    }
    if push == 0 or pull == 0:
        refusal = Refusal(
            min(push, pull), 1, "sets of the rarer direction in twelve weeks", "train both"
        )
        return find_refused(refusal, **common)
    gap = "" if weeks.height == asked else f" ({weeks.height} of them logged)"
    return find_answered(
        COUNTED,
        **common,
        estimate=pull / push,
        n=round(push + pull),
        n_of="sets",
        from_date=earliest(weeks["week_start"]),
        to_date=latest(weeks["week_start"]) + timedelta(days=6),
        sentence=(
            f"{say_count(round(pull), 'sets')} of rows and pulldowns and "
            f"{say_count(round(push), 'sets')} of presses in the last "
            f"{'week' if asked == 1 else f'{asked} weeks'}{gap}: {say_number(pull / push, 2)} "
            "to one. At least as much pulling as pushing is common practice; no published norm "
            "exists."
        ),
    )
