"""What a command wrote: told in lines, or as one JSON object."""

import json
from collections.abc import Mapping
from dataclasses import dataclass

from rich.console import Console

from pipeline.core.errors import one_line


@dataclass(frozen=True)
class Written:
    """Lines for a person, and the same by name for a program."""

    lines: tuple[str, ...]
    told: Mapping[str, object]


def say_written(written: Written, *, as_json: bool) -> None:
    """Print what was written; paths, days and ids as text."""
    if as_json:
        print(json.dumps(written.told, ensure_ascii=False, default=str))
        return
    console = Console(soft_wrap=True)
    for line in written.lines:
        console.print(one_line(line), markup=False, highlight=False)
