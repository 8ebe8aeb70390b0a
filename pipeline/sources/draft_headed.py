"""The table of a sheet whose days are headings: over blocks of rows, or over columns."""

from collections.abc import Callable, Iterator, Sequence

from pipeline.core.source import CELL, HEADING, SourceFile
from pipeline.sources.draft_cells import MAX_ROWS, make_column
from pipeline.sources.draft_file import LooseTable, cut_cell, only_year, pattern_of, siblings_of
from pipeline.sources.draft_labels import read_label
from pipeline.sources.headed import NO_DAY, Unfolded, unfold
from pipeline.sources.headings import Row, days_in
from pipeline.sources.sheets import Sheet

LEAST_DAYS = 2  # one day alone is a title
OF_A_BLOCK = ("exercise", "sets", "reps", "load", "n_sets", "set_no", "duration_s")


def headed_tables(
    source: SourceFile, sheets: Sequence[Sheet], encoding: str = "utf-8", separator: str = ""
) -> Iterator[LooseTable]:
    """The sheets read as blocks under days, with labels or without, and as columns under days."""
    labels = next((row for sheet in sheets for row in sheet.rows if _is_labels(row)), None)
    if labels is not None:
        needed = {cell for cell in labels if cell and _is_of_block(cell)}
        yield from _table(source, sheets, lambda row: needed <= {*row}, False, encoding, separator)
    else:
        yield from _table(source, sheets, None, False, encoding, separator)
    yield from _table(source, sheets, lambda row: len(days_in(row)) > 1, True, encoding, separator)


def _is_of_block(cell: str) -> bool:
    return any(read_label(cell).fields.get(field) == 1.0 for field in OF_A_BLOCK)


def _is_labels(row: Row) -> bool:
    """Labels of a block: two that say what they are, or that of exercises beside others."""
    filled = [cell for cell in row if cell and cell.strip()]
    names = any(read_label(cell).fields.get("exercise") == 1.0 for cell in filled)
    return not days_in(row) and (sum(map(_is_of_block, filled)) > 1 or (names and len(filled) > 1))


def _dated(found: Unfolded) -> list[tuple[str, dict[str, str | None]]]:
    """Rows below a day; those without one are set aside when the file is read."""
    rows, has_day = [], False
    for place, cells in found.rows:
        day = cells.get(HEADING)
        has_day = has_day if day is None else day != NO_DAY
        rows += [(place, cells)] if has_day else []
    return rows


def _table(
    source: SourceFile,
    sheets: Sequence[Sheet],
    is_header: Callable[[Row], bool] | None,
    is_cell: bool,
    encoding: str,
    separator: str,
) -> Iterator[LooseTable]:
    found = Unfolded()
    used: list[str] = []
    for sheet in sheets:
        one = unfold(sheet, is_header, is_cell)
        dated = _dated(one)
        if dated:
            used.append(sheet.name)
            found.labels += [label for label in one.labels if label not in found.labels]
            found.rows += dated
    n_days = sum(bool(cells.get(HEADING)) for _, cells in found.rows)
    if n_days < LEAST_DAYS or (is_cell and CELL not in found.labels):
        return
    rows = tuple(
        tuple(cut_cell(cells.get(label) or "") for label in found.labels)
        for _, cells in found.rows[:MAX_ROWS]
    )
    years = [only_year(name) for name in used]
    year = only_year(source.path.rpartition("/")[2])
    has_years = year is None and all(years)
    what = "columns" if is_cell else "blocks of rows"
    yield LooseTable(
        source=source,
        encoding=encoding,
        separator=separator,
        header_row=1,
        columns=tuple(
            make_column(label, place, (row[place] for row in rows))
            for place, label in enumerate(found.labels)
        ),
        rows=rows,
        pattern=pattern_of(source.path),
        siblings=siblings_of(source.absolute),
        year=years[0] if has_years else year,
        is_part=False,
        what=f"{n_days} days as headings over {what}",
        left_out=tuple(sheet.name for sheet in sheets if sheet.name not in used),
        year_from="sheet" if has_years else "file name",
    )
