"""Heads of a table's columns, from the texts of its page."""

from dashboards import words
from dashboards.blocks import Column

# Columns of short words and dates that stay whole on a phone; other text breaks where it must.
_NAMES = (
    "muscle",
    "lift",
    "lifter",
    "signal",
    "kind",
    "injury",
    "subject",
    "support",
    "name",
    "was",
    "trace",
    "map",
    "fell",
    "still",
)
_DATES = ("day", "by_day", "from", "to", "start", "first", "last")
WHOLE = frozenset((*_NAMES, *_DATES))


def heads_of(
    page: str, *keys: str, numbers: tuple[str, ...] = (), **values: object
) -> tuple[Column, ...]:
    """Columns whose heads are texts ``<page>.col_<key>``; those in ``numbers`` align right."""
    return tuple(
        Column(words.plain(f"{page}.col_{key}", **values), _kind(key, numbers)) for key in keys
    )


def _kind(key: str, numbers: tuple[str, ...]) -> str:
    if key in numbers:
        return "number"
    return "name" if key in WHOLE else "text"
