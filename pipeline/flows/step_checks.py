"""The checks of one lifter's findings: whose turn it is tonight, and the results that are kept.

With few lifters all are checked in every refresh whose record changed. With more they take turns
over seven nights; one whose turn has not come keeps the last checks with their day. Results lie
among those of the other steps, named by lifter and content, one a lifter.
"""

import hashlib
import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.findings import Record, check_lifter
from pipeline.flows.cache import KEY_LENGTH, is_complete
from pipeline.flows.inputs import Inputs
from pipeline.flows.step_group import Answered
from pipeline.store.warehouse import read_table

STEP = "checks"
NIGHTS = 7
FEW_LIFTERS = 7


def is_turn(lifter_id: str, today: date, n_lifters: int) -> bool:
    """The lifter is checked today: always among few lifters, one night in seven among more."""
    if n_lifters <= FEW_LIFTERS:
        return True
    night = int(hashlib.sha256(lifter_id.encode()).hexdigest(), 16) % NIGHTS
    return today.toordinal() % NIGHTS == night


def choose_checks(store: Path, lifter_id: str, key: str, today: date, n_lifters: int) -> str | None:
    """Name of the result to use, made or still to be made; None for a lifter not checked yet.

    The result of the same content is used as it is, whenever it was made. Else it is due when it
    is the lifter's turn, and the last one stays in use when it is not.
    """
    name = f"{lifter_id}-{key}"
    if is_complete(store / STEP / name) or is_turn(lifter_id, today, n_lifters):
        return name
    return find_kept(store, lifter_id)


def find_kept(store: Path, lifter_id: str) -> str | None:
    """Name of the lifter's last checks; None when there are none, or none whole."""
    folders = sorted((store / STEP).glob("*")) if (store / STEP).is_dir() else []
    own = [one.name for one in folders if one.name[: -KEY_LENGTH - 1] == lifter_id]
    return next((name for name in own if is_complete(store / STEP / name)), None)


def make_checks(
    inputs: Inputs,
    record: Callable[[], Record],
    tidy: Path,
    warehouse: Path,
    answered: Answered,
    today: date,
) -> Callable[[Path], None]:
    """The function that checks one lifter's findings into an empty folder.

    ``tidy`` is the folder of the joined record, which ``record`` reads; ``warehouse`` holds
    the marts.
    """

    def make(folder: Path) -> None:
        own, answers = record(), answered.folder
        tables = {
            "finding": pl.read_parquet(answers / "finding.parquet"),
            "model_lift_level": pl.read_parquet(tidy / "model_lift_level.parquet"),
            "tidy_signal": pl.read_parquet(tidy / "tidy_signal.parquet"),
            "mart_day_signal": read_table(warehouse, "mart_day_signal").filter(
                pl.col("lifter_id") == own.lifter.lifter_id
            ),
            "ref_prior": inputs.reference.priors,
        }
        index = answers / "model_muscle_index.parquet"
        if own.has_sets and index.exists():
            tables["model_muscle_index"] = pl.read_parquet(index)
            slopes = json.loads((tidy / "rep_slopes.json").read_text("utf-8"))
            thresholds = inputs.settings.thresholds
            checks = check_lifter(own, tables, slopes, thresholds, today, answered.group)
            checks.write_parquet(folder / "model_check.parquet")

    return make
