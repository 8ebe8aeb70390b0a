"""The history of runs: ``runs.jsonl``, one line a run, only ever added to."""

import json
from collections.abc import Mapping

from pipeline.core.home import Home
from pipeline.store.lines import append_lines


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
    append_lines(home.runs, [record])


def read_runs(home: Home) -> list[dict[str, object]]:
    """Every run in the order of writing; a line cut short by a crash is passed over."""
    if not home.runs.exists():
        return []
    lines = home.runs.read_text("utf-8", errors="replace").splitlines()
    return [run for run in map(_read_line, lines) if run is not None]


def _read_line(line: str) -> dict[str, object] | None:
    try:
        run = json.loads(line)
    except json.JSONDecodeError:
        return None
    return run if isinstance(run, dict) else None
