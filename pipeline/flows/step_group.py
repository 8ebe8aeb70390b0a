"""What the lifters of a folder say of each other's best weekly sets; kept like any other step.

A lifter's summary is written beside his indexes; from all of them the step ``group`` learns for
each lifter what the others say, rounded. Answers and checks are keyed by that rounded shift, so
that they are made again when it moves and not whenever somebody else has trained.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from pipeline.flows.cache import content_key
from pipeline.models.volume.group import LEAST_LIFTERS, GroupShift, LifterSummary, pool_others

STEP = "group"
SUMMARY = "summary.json"
SHIFTS = "shifts.json"


@dataclass(frozen=True)
class Answered:
    """A lifter's answers: their key, what they took from other lifters, their folder."""

    key: str
    group: GroupShift | None
    folder: Path


def is_grouped(n_lifters: int) -> bool:
    """There are enough lifters: each has at least ``LEAST_LIFTERS`` others."""
    return n_lifters > LEAST_LIFTERS


def keys_of_answers(keys: Mapping[str, str], groups: Mapping[str, GroupShift]) -> dict[str, str]:
    """Keys of answers and checks by lifter: that of his record, and what the others say."""
    return {
        lifter: content_key("answers", key, _parts(groups[lifter])) if lifter in groups else key
        for lifter, key in keys.items()
    }


def write_summary(folder: Path, summary: LifterSummary) -> None:
    """Keep what one lifter's record alone said."""
    (folder / SUMMARY).write_text(json.dumps(dict(summary.muscles)), "utf-8")


def make_group(index_folders: Mapping[str, Path]) -> Callable[[Path], None]:
    """The function that learns from all summaries what the others say to each lifter."""

    def make(folder: Path) -> None:
        shifts = pool_others(_read_summary(one, path) for one, path in index_folders.items())
        told = {lifter: _parts(shift) for lifter, shift in shifts.items()}
        (folder / SHIFTS).write_text(json.dumps(told), "utf-8")

    return make


def read_group(folder: Path) -> dict[str, GroupShift]:
    """By lifter what the others say; one with too few others who say anything is left out."""
    told = json.loads((folder / SHIFTS).read_text("utf-8"))
    return {
        lifter: GroupShift(dict(map(tuple, centres)), factor, n_lifters)
        for lifter, (centres, factor, n_lifters) in told.items()
    }


def _read_summary(lifter_id: str, folder: Path) -> LifterSummary:
    """The lifter's summary; an empty one of a record without sets."""
    path = folder / SUMMARY
    told = json.loads(path.read_text("utf-8")) if path.exists() else {}
    return LifterSummary(lifter_id, {muscle: tuple(row) for muscle, row in told.items()})


def _parts(shift: GroupShift) -> list[object]:
    """The shift as JSON can write it: pairs, since one of its names is None."""
    return [[*map(list, shift.centre_sets.items())], shift.spread_factor, shift.n_lifters]
