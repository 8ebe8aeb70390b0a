"""The least weekly sets at which a muscle held, with the span of training age they stem from."""

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_change, say_interval, say_number, say_range
from pipeline.findings.support import support_search
from pipeline.models.volume.hold import LeastThatHeld, fit_hold
from pipeline.models.volume.weekly_record import MuscleWeeks

METHOD = "block progress by weekly sets, generalised least squares"


def answer_hold(
    record: Record, muscle_id: str, name: str, weeks: MuscleWeeks, thresholds: dict[str, float]
) -> Finding:
    """The least weekly sets at which the muscle kept its index."""
    held = fit_hold(
        weeks.level_log,
        weeks.level_se,
        weeks.weekly_sets,
        record.training_age,
        left_out=weeks.left_out,
        tolerance_pct_year=thresholds["plateau_pct_per_year"],
    )
    common = {
        "lifter_id": record.lifter.lifter_id,
        "question": "hold_sets",
        "subject": f"muscle:{muscle_id}",
        "method": METHOD,
        "unit": "sets/week",
    }
    if isinstance(held, Refusal):
        return find_refused(held, **common)
    # Whole years, so that the id of the finding does not move with every block.
    return find_answered(
        support_search(held.n_blocks, "blocks"),
        **common,
        age_from=float(np.floor(held.age_from)),
        age_to=float(np.ceil(held.age_to)),
        estimate=held.sets,
        low=held.low_sets,
        high=held.high_sets,
        coverage=None,
        n=held.n_blocks,
        n_of="blocks",
        sentence=_say_hold(name, held),
    )


def _say_hold(name: str, held: LeastThatHeld) -> str:
    rose = ", so it rose meanwhile" if held.low_pct_year > 0 else ""
    least = " Fewer sets were not tried for long enough." if held.is_lowest_tried else ""
    return (
        f"{name.capitalize()} held at {say_number(held.sets, 0)} weekly sets "
        f"({say_range(held.low_sets, held.high_sets)}) at training age {np.floor(held.age_from):g} "
        f"to {np.ceil(held.age_to):g}: {say_change(held.progress_pct_year)} % "
        f"a year {say_interval(held.low_pct_year, held.high_pct_year)}{rose}, "
        f"{held.n_blocks} of {held.n_of} blocks.{least}"
    )
