"""What a run says of itself: warnings while it reads, one line in the history of runs."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

import polars as pl

from pipeline.core.errors import NothingReadError
from pipeline.core.home import Home
from pipeline.flows.progress import Progress
from pipeline.flows.step_file import FileResult
from pipeline.store.publish import current_run
from pipeline.store.runs import read_runs

MOST_ROWS_SHOWN = 5
EQUATION = ("read", "kept", "repeated", "set_aside", "blank")


def refuse_nothing(home: Home, files: Sequence[FileResult]) -> None:
    """Leave the last pages as they are when no file gave a single record.

    An inbox on a disk that is not there looks like an empty one.

    Raises
    ------
    NothingReadError
        when pages of an earlier run are there and this run kept nothing.
    """
    if any(one.counts.kept for one in files) or current_run(home) is None:
        return
    what = f"{len(files)} files and no record that is kept" if files else "no files"
    raise NothingReadError(
        f"inbox: {what}: the last pages stand; put the files back into inbox/<lifter>/, or mend "
        "the maps"
    )


def warn_of_rows(files: Sequence[FileResult], progress: Progress) -> None:
    """A line for each file that could not be read and for the first rows set aside in the others.

    A file without a map was warned of when the maps were chosen.
    """
    for one in files:
        if one.map_name is None:
            continue
        for warning in one.warnings:
            known = warning.startswith(one.file.shown) or "corrections.toml" in warning
            progress.warn(warning if known else f"{one.file.shown}: {warning}")
        aside = one.frame("set_aside").unique(["row_no", "detail"], maintain_order=True)
        for row in aside.head(MOST_ROWS_SHOWN).iter_rows(named=True):
            where = f", {row['place']}" if row["place"] else f" line {row['row_no']}"
            progress.warn(f"{one.file.shown}{where}: {row['reason']}: {row['detail']}")
        more = aside.height - MOST_ROWS_SHOWN
        if more > 0:
            progress.warn(f"{one.file.shown}: {more} more set aside, see State of the record")


def last_steps(home: Home) -> list[float]:
    """Seconds of each step of the last run that came to its end; none where none is known."""
    known = (run.get("step_seconds") for run in reversed(read_runs(home)))
    found = next((one for one in known if isinstance(one, list)), [])
    return [float(one) for one in found if isinstance(one, int | float)]


def describe_run(source_files: pl.DataFrame, progress: Progress, now: datetime) -> dict[str, Any]:
    """The line of ``runs.jsonl``: when, what was read, what was warned of.

    ``source_files`` : table ``source_file``, counted after the files were compared.
    """
    counts = {name: int(source_files[name].sum()) for name in EQUATION}
    return {
        "began": now.isoformat(),
        "seconds": round((datetime.now() - now).total_seconds(), 1),
        "files": source_files.height,
        **counts,
        "warnings": list(progress.warnings),
        "step_seconds": list(progress.seconds),
        "pages": "current/pages/index.html",
    }
