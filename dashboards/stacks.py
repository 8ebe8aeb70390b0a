"""Tables whose rows stand on a phone as cards: name in front, beside each value its head."""

import re
from statistics import median

from markupsafe import Markup

from dashboards.blocks import Table

# Characters of a figure with its head that fit a fourth of a card, and half of it.
SHORT_FIGURE, HALF_FIGURE = 9, 30
# Room of the head beside a text, px; the same in page.css.
LABEL = 112


def stack_style(table: Table) -> str:
    """Heads and widths of the columns for the table's style attribute (page.css).

    Once for the table: beside each of some thousand cells they would weigh 50 KB.
    """
    heads = [re.sub(r'["\\\n\r\f]', _escape, column.head) for column in table.columns]
    parts = [f'--h{i}:"{head}"' for i, head in enumerate(heads, 1)]
    lengths = _figure_lengths(table)
    # A few short figures among longer ones would only break the lines of a card.
    shortest = 1 if median(lengths.values() or [0]) <= SHORT_FIGURE else 2
    for i, length in lengths.items():
        if not {i - 1, i + 1} & lengths.keys():
            parts.append(f"--l{i}:0 0 {LABEL}px")  # alone among texts: begins where they begin
        elif length <= HALF_FIGURE:
            parts.append(f"--s{i}:span {shortest if length <= SHORT_FIGURE else 2}")
    return ";".join(parts)


def _figure_lengths(table: Table) -> dict[int, int]:
    """Characters of head and longest cell of each column of figures, by its place from 1."""
    cells = zip(*table.first_rows, strict=True)
    columns = enumerate(zip(table.columns, cells, strict=True), 1)
    return {
        i: len(column.head) + max(len(Markup(cell).striptags()) for cell in held)
        for i, (column, held) in columns
        if i > 1 and column.kind == "number"
    }


def _escape(sign: re.Match[str]) -> str:
    return f"\\{ord(sign.group()):x} "
