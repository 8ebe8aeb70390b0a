"""The row of a table in which the order of its dates changes, and its rows with days told."""

from dataclasses import replace
from itertools import groupby
from operator import itemgetter

from pipeline.core.errors import InputError
from pipeline.core.source import OrderChange
from pipeline.core.written import NOTHING, without_marks
from pipeline.sources.draft_columns import Layout
from pipeline.sources.draft_dates import DateFinding
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_order_change import OrderTurn
from pipeline.sources.draft_preview import read_drafted
from pipeline.sources.draft_records import Notebook, Readers
from pipeline.sources.draft_toml import MapParts, write_map


def with_days_told(
    table: LooseTable, layout: Layout, dates: DateFinding, readers: Readers
) -> LooseTable:
    """The table with the dates behind a change of their order written year, month, day."""
    turn, place = dates.turn, layout.fields["date"].place
    if turn is None:
        return table
    year, n_dates = table.year if dates.year_from else None, 0
    rows: list[tuple[str, ...]] = []
    for row in table.rows:
        day = None
        if row[place] not in NOTHING:
            day = readers.read_date(row[place], turn.behind, year) if n_dates >= turn.at else None
            n_dates += 1
        rows.append(row if day is None else (*row[:place], str(day), *row[place + 1 :]))
    return replace(table, rows=tuple(rows))


def with_rows_told(parts: MapParts) -> MapParts:
    """The map with the row in which the order of dates changes; it is for this one file then.

    Raises
    ------
    InputError
        when the row cannot be told by the dates of the file: the map has to name one.
    """
    turn = parts.dates.turn
    if turn is None:
        return parts
    path = parts.table.source.path
    table = replace(parts.table, pattern=path.replace("[", "?"), siblings=())
    parts = replace(parts, table=table, dates=replace(parts.dates, turn=None))
    raw = read_drafted(write_map(parts, Notebook()), table)
    label = parts.columns["date"]
    cells = next(column.cells for column in table.columns if column.label == label)
    texts = raw.frame.select("row_no", label).drop_nulls().iter_rows()
    rows = ((row_no, without_marks(text).strip()) for row_no, text in texts)
    told = (row for row in rows if row[1] not in NOTHING)
    first = [next(group) for _, group in groupby(told, key=itemgetter(1))]
    at = len([text for text, _ in groupby(cells[: turn.at])])
    written = [text for text, _ in groupby(cells)]
    if [text for _, text in first[: len(written)]] != written[: len(first)] or at >= len(first):
        raise unknown_row(path, turn)
    change = OrderChange(*first[at], turn.behind)
    return replace(parts, dates=replace(parts.dates, changes=(change,)))


def unknown_row(file: str, turn: OrderTurn) -> InputError:
    """The error that names the key of the map for an order that changes in a row not known."""
    value = f"the order of dates changes at {turn.expect!r}, in a row that is not known"
    change = f'{{from_row = 41, expect = "{turn.expect}", order = "{turn.behind}"}}'
    return InputError(file, None, value, f"write the row into the map: dates.changes = [{change}]")
