"""Lifts that injuries still going on leave out: what a proposal must not ask for."""

import polars as pl

from pipeline.findings.arrays import Record
from pipeline.findings.injuries.spans import Injury, lifts_that_strain
from pipeline.findings.muscles import frame_of

NAMED = "named in the journal as out"


def constrain(record: Record, injuries: list[Injury]) -> pl.DataFrame:
    """Table ``model_constraint``: a row for each lift that an injury without an end rules out.

    The lifts that the journal names, and every exercise of the reference that loads a region to be
    spared much, but for those that the lifter has done since the injury began: doing them is the
    lifter's own word that they go.
    """
    rows: list[dict[str, object]] = []
    for injury in injuries:
        if injury.end is not None:
            continue
        since = record.counted.filter(pl.col("session_date") >= injury.start)
        done = set(since["exercise_id"])
        spared = lifts_that_strain(record, injury.regions, "much") - done - set(injury.named)
        regions = " and ".join(one.replace("_", " ") for one in injury.regions)
        reasons = dict.fromkeys(injury.named, NAMED)
        reasons |= dict.fromkeys(sorted(spared), f"loads the {regions} much, which is to be spared")
        rows += [
            {
                "lifter_id": record.lifter.lifter_id,
                "event_id": injury.event_id,
                "exercise_id": lift,
                "reason": reason,
            }
            for lift, reason in reasons.items()
        ]
    return frame_of("model_constraint", rows)
