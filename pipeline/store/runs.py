"""The history of runs: ``runs.jsonl``, one line a run, only ever added to."""

import json
import os
from collections.abc import Mapping

from pipeline.core.home import Home


def append_run(home: Home, record: Mapping[str, object]) -> None:
    """Add one run; it is on the disk when this returns.

    Parameters
    ----------
    home : the lifter's folder.
    record : what was done, of JSON's own types (dates as text).

    Raises
    ------
    TypeError
        when a value is not of JSON's own types.
    """
    line = json.dumps(record, ensure_ascii=False, sort_keys=True) + "\n"
    handle = os.open(home.runs, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o644)
    try:
        os.write(handle, (_line_break(handle) + line).encode())
        os.fsync(handle)
    finally:
        os.close(handle)


def read_runs(home: Home) -> list[dict[str, object]]:
    """Every run in the order of writing; a line cut short by a crash is passed over."""
    if not home.runs.exists():
        return []
    lines = home.runs.read_text("utf-8", errors="replace").splitlines()
    return [run for run in map(_read_line, lines) if run is not None]


def _line_break(handle: int) -> str:
    """What ends a line that a crash cut short, so that the next one starts anew."""
    size = os.fstat(handle).st_size
    return "\n" if size and os.pread(handle, 1, size - 1) != b"\n" else ""


def _read_line(line: str) -> dict[str, object] | None:
    try:
        run = json.loads(line)
    except json.JSONDecodeError:
        return None
    return run if isinstance(run, dict) else None
