"""Heads of a table's columns, from the texts of its page."""

from dashboards import words
from dashboards.blocks import Column


def heads_of(
    page: str, *keys: str, numbers: tuple[str, ...] = (), **values: object
) -> tuple[Column, ...]:
    """Columns whose heads are texts ``<page>.col_<key>``; those in ``numbers`` align right."""
    return tuple(
        Column(words.plain(f"{page}.col_{key}", **values), "number" if key in numbers else "text")
        for key in keys
    )
