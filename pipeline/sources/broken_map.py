"""A map that cannot be used, as far as it says which files it means."""

import contextlib
import re
from pathlib import Path

from pipeline.core.source import SourceMap

BROKEN = "broken"
_LIST = {
    key: re.compile(rf"^\s*{key}\s*=\s*\[(.*?)\]", re.M | re.S) for key in ("globs", "lifters")
}
_TEXT = re.compile(r"""["']([^"'\n]+)["']""")


def broken_map(path: Path) -> SourceMap:
    """A map of kind ``BROKEN`` with the globs and lifters that can be found in its text.

    The text need not be TOML: a line that is broken elsewhere says nothing against its globs. A
    folder, a pipe or a file that may not be opened says nothing.
    """
    text = ""
    with contextlib.suppress(OSError):
        text = path.read_bytes().decode("utf-8", "replace") if path.is_file() else ""
    found = {
        key: _TEXT.findall(one[1]) if (one := pattern.search(text)) else []
        for key, pattern in _LIST.items()
    }
    lifters = tuple(found["lifters"]) or ("*",)
    return SourceMap(path.stem, BROKEN, tuple(found["globs"]), {}, lifters)
