"""Small invented files and a small reference for the tests of reading."""

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.source import RawFile, SourceFile, SourceMap
from pipeline.sources.read import read_raw
from pipeline.tidy.names import NameIndex
from pipeline.tidy.tidy_file import TidyFile, tidy_file

TODAY = date(2025, 6, 30)

# exercise_id, name, basis, laterality, equipment, share of body weight
LIFTS = (
    ("bench_press", "bench press", "total", "bilateral", "barbell", 0.0),
    ("incline_press", "incline press", "total", "bilateral", "barbell", 0.0),
    ("landmine_row", "landmine row", "per_side", "bilateral", "barbell", 0.0),
    ("leg_press", "leg press", "per_side", "bilateral", "machine", 0.0),
    ("dumbbell_curl", "dumbbell curl", "per_hand", "either", "dumbbell", 0.0),
    ("split_squat", "split squat", "per_hand", "unilateral", "dumbbell", 0.8),
    ("pull_up", "pull-up", "added", "bilateral", "body_weight", 0.95),
    ("assisted_dip", "assisted dip", "assisted", "bilateral", "machine", 0.9),
    ("plank", "plank", "added", "bilateral", "body_weight", 0.5),
    ("cable_raise", "cable raise", "total", "either", "cable", 0.0),
)
FILLERS = {
    "pattern": "other",
    "mechanics": "compound",
    "body_weight_basis": "common practice",
    "stance": "standing",
    "lower_back": "none",
    "knee": "none",
    "shoulder": "none",
    "elbow": "none",
    "hip": "none",
    "wrist": "none",
}


@cache
def exercises() -> pl.DataFrame:
    """A small ``ref_exercise``."""
    columns = ("exercise_id", "name", "default_load_basis", "laterality", "equipment")
    rows = [
        {**FILLERS, **dict(zip((*columns, "body_weight_share"), lift, strict=True))}
        for lift in LIFTS
    ]
    return conform("ref_exercise", pl.DataFrame(rows))


@cache
def names() -> NameIndex:
    """Finds the exercises of ``exercises`` by their names and two abbreviations."""
    aliases = pl.DataFrame({"alias": ["bp", "chins"], "exercise_id": ["bench_press", "pull_up"]})
    return NameIndex.from_reference(aliases, exercises(), {})


def a_map(kind: str = "sets", **changes: object) -> SourceMap:
    """A map for a plain table of sets in kilograms, with what ``changes`` says."""
    columns = {
        "sets": {"date": "Date", "exercise": "Lift", "load": "Load", "reps": "Reps"},
        "exercises": {"date": "Date", "exercise": "Lift", "sets": "Sets"},
        "wide": {"date": "Date"},
        "signals": {"date": "Date"},
        "notes": {"exercise": "Lift", "load": "Load", "reps": "Reps"},
        "standard": {},
        "intervals": {"date": "Date", "interval": "RR"},
    }[kind]
    one = SourceMap(name="test", kind=kind, globs=("*",), columns=columns, unit="kg")
    more = changes.pop("more", {})
    return replace(one, columns={**columns, **more}, **changes)  # type: ignore[arg-type, dict-item]


def raw_file(
    folder: Path, text: str | bytes, one: SourceMap | None = None, path: str = "log.csv"
) -> RawFile:
    """``text`` as a file of lifter ``ida``, read by its map."""
    target = folder / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(text if isinstance(text, bytes) else text.encode())
    file = SourceFile("file_" + path, "ida", path, "sum", target.stat().st_size, target)
    return read_raw(file, one or a_map())


def tidy(
    folder: Path, text: str | bytes, one: SourceMap | None = None, path: str = "log.csv"
) -> TidyFile:
    """``text`` read to tidy tables with the small reference."""
    raw = raw_file(folder, text, one, path)
    return tidy_file(raw, names=names(), exercises=exercises(), today_limit=TODAY)


def reasons(found: TidyFile) -> list[tuple[int, str]]:
    """Row and reason of everything set aside."""
    return list(found.set_aside.select("row_no", "reason").iter_rows())


def is_balanced(found: TidyFile) -> bool:
    """The row equation: read = kept + repeated + set aside + blank."""
    counts = found.counts
    return counts.read == counts.kept + counts.repeated + counts.set_aside + counts.blank
