"""Plans that were accepted, read as they stand now, and held against the record."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from pipeline.core.dictionary import empty_frame
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.findings import finding_frame
from pipeline.findings.plans import answer_plans, follow_plans
from pipeline.findings.plans.progress import READS
from pipeline.flows.step_predictions import Predictions, add_predictions
from pipeline.store.warehouse import read_tables
from pipeline.tidy.plans import read_plan


@dataclass(frozen=True)
class LookedAhead:
    """What was expected before this run and in it: the folder of its forecasts, the predictions,
    and table ``tidy_plan``."""

    folder: Path
    predictions: Predictions
    plans: pl.DataFrame

    @property
    def parts(self) -> list[object]:
        """What a key is made of."""
        return [self.folder.name, self.predictions.lines, self.plans.write_json()]

    def add(self, warehouse: Path, frames: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
        """Findings with forecasts, scores and plans, and every table about what was expected."""
        followed = follow_plans(self.plans, read_tables(warehouse, READS))
        predicted = add_predictions(warehouse, frames, self.folder, self.predictions)
        told = finding_frame([*answer_plans(followed["model_plan_progress"])])
        found = pl.concat([predicted["finding"], told])
        return {**predicted, **followed, "finding": found, "tidy_plan": self.plans}


def read_plans(
    home: Home,
    lifters: Mapping[str, str],
    exercises: Collection[str],
    warn: Callable[[str], None],
) -> pl.DataFrame:
    """Table ``tidy_plan``; a file that cannot be used is told and left out.

    ``lifters``: the weekday that weeks start on, by lifter.
    """
    plans = [empty_frame("tidy_plan")]
    for lifter_id in sorted(lifters):
        for path in sorted((home.plans / lifter_id).glob("[!.]*.csv")):
            try:
                plans.append(read_plan(path, lifter_id, exercises, lifters[lifter_id]))
            except SettingsError as error:
                warn(f"{error}; until then the plan is left out")
    return pl.concat(plans)
