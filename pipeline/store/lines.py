"""Files of one JSON object a line that are only ever added to: ``runs.jsonl`` and others."""

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path


def append_lines(path: Path, records: Sequence[Mapping[str, object]]) -> None:
    """Add records, each on a line of its own; they are on the disk when this returns.

    Nothing that stands in the file is changed; without records it is not even opened.

    Parameters
    ----------
    records : of JSON's own types (dates as text).

    Raises
    ------
    TypeError
        when a value is not of JSON's own types.
    """
    if not records:
        return
    lines = [json.dumps(one, ensure_ascii=False, sort_keys=True) + "\n" for one in records]
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o644)
    try:
        left = (_line_break(handle) + "".join(lines)).encode()
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def _line_break(handle: int) -> str:
    """What ends a line that a crash cut short, so that the next one starts anew."""
    size = os.fstat(handle).st_size
    return "\n" if size and os.pread(handle, 1, size - 1) != b"\n" else ""
