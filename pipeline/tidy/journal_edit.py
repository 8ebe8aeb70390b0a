"""Events written into a journal by a command: comments, order and line ends of the file survive."""

import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from pipeline.core.errors import SettingsError
from pipeline.core.settings import is_there, read_user_text
from pipeline.tidy.journal import read_journal


def add_events(path: Path, lifter_id: str, events: Sequence[Mapping[str, Any]]) -> None:
    """Add ``[[event]]`` blocks at the end of ``journal/<lifter>.toml``, made when it is not there.

    Parameters
    ----------
    events : keys of the journal's schema; dates as dates, ids as lists.

    Raises
    ------
    SettingsError
        when the journal cannot be read, or would not be valid with them (an event told twice): it
        is then as it was.
    """
    shown = f"journal/{path.name}"
    before = read_user_text(path, shown) if is_there(path) else ""
    try:
        document = tomlkit.parse(_with_blank_line(before))
    except TOMLKitError as error:
        raise SettingsError(f"{shown}: not valid TOML: {error}: mend that line") from None
    blocks = document.setdefault("event", tomlkit.aot())
    if not isinstance(blocks, AoT):
        raise SettingsError(f"{shown}: event: write each as a block [[event]] of its own")
    for event in events:
        block = tomlkit.table()
        for key, value in event.items():
            block.add(key, value)
        block.add(tomlkit.nl())  # the next block stands apart
        blocks.append(block)
    ends = "\r\n" if is_there(path) and b"\r\n" in path.read_bytes() else "\n"
    _write_checked(path, lifter_id, f"{tomlkit.dumps(document).rstrip()}\n".replace("\n", ends))


def _with_blank_line(text: str) -> str:
    """The text with an empty line at its end, before the block that is added."""
    return text.rstrip("\n") + "\n\n" if text.strip() else text


def _write_checked(path: Path, lifter_id: str, text: str) -> None:
    """Put ``text`` in the place of the journal once it has been read as one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".") as folder:
        fresh = Path(folder) / path.name
        fresh.write_bytes(text.encode("utf-8"))
        read_journal(fresh, lifter_id)
        os.replace(fresh, path)
