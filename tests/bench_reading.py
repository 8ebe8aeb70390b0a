"""Speed and memory of reading a large table of sets, beside a bare scan of the same file.

``python -m tests.bench_reading [rows]``, in a process of its own, so that its peak is its own.
"""

import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date
from importlib.resources import files
from pathlib import Path

import polars as pl

from pipeline.checks.suites import check_frames
from pipeline.core.source import RawFile, SourceFile
from pipeline.flows.ahead import work_ahead
from pipeline.reference import load_reference
from pipeline.sources.maps import read_map
from pipeline.sources.parts import read_parts
from pipeline.tidy.names import NameIndex
from pipeline.tidy.tidy_file import TidyFile, tidy_file
from tests.big_table import write_big_table

ROWS = 10_000_000
TEXTS = ("Failure", "Warm-up", "Cluster", "Set-up", "Note")


def scan(path: Path) -> int:
    """Weekly sets, tonnage and mean reserve of each lift, warm-ups left out: groups found."""
    tonnage = (pl.col("Load kg") * pl.col("Reps")).sum()
    rows = pl.scan_csv(
        path,
        skip_lines=1,
        try_parse_dates=True,
        schema_overrides={"Load kg": pl.Float64(), **dict.fromkeys(TEXTS, pl.String())},
    )
    weeks = (
        rows.filter(pl.col("Warm-up").is_null())
        .group_by("Exercise", pl.col("Date").dt.truncate("1w"))
        .agg(pl.len(), tonnage.alias("tonnage"), pl.col("RIR").mean())
    )
    return weeks.collect().height


def tidy_parts(path: Path) -> Iterator[TidyFile]:
    """The parts of the table, tidied as a refresh does it."""
    reference = load_reference()
    names = NameIndex.from_reference(reference.aliases, reference.exercises, {})
    file = SourceFile("big", "big", path.name, "", path.stat().st_size, path)
    one = read_map(Path(str(files("pipeline.demo") / "maps" / "set_rows.toml")))

    def tidy(raw: RawFile) -> TidyFile:
        limit = date(2026, 11, 28)
        return tidy_file(raw, names=names, exercises=reference.exercises, today_limit=limit)

    return (tidied for _, tidied in work_ahead(read_parts(file, one), tidy))


def read(path: Path) -> tuple[int, float, float]:
    """Sets kept, seconds of reading to ``tidy_set``, and seconds of the checks.

    The sets are read twice: parts are tidied ahead of their use, so that time spent on checking
    would be time won for reading.
    """
    began = time.perf_counter()
    n = sum(part.sets.height for part in tidy_parts(path))
    reading, checking = time.perf_counter() - began, 0.0
    for part in tidy_parts(path):
        began = time.perf_counter()
        assert not check_frames({"tidy_set": part.sets})["tidy_set"].failures
        checking += time.perf_counter() - began
    return n, reading, checking


def main() -> int:
    """Print what was measured as four numbers: scanning, reading, checking (s) and peak (GB)."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else ROWS
    with tempfile.TemporaryDirectory() as place:
        path = Path(place, "sets big.csv")
        write_big_table(path, rows)
        n, reading, checking = read(path)
        assert n == rows, f"{n} sets of {rows}"
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        began = time.perf_counter()
        scan(path)
        scanning = time.perf_counter() - began
    print(f"{scanning:.3f} {reading:.3f} {checking:.3f} {peak:.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
