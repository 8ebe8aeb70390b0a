"""A first look at notes whose map is not known yet: dates, names and sets as far as they show."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import polars as pl

from pipeline.core.source import RawFile
from pipeline.tidy.notes.calendar import NO_YEAR, Calendar, find_marks, find_start
from pipeline.tidy.notes.days import fitting_years, resolve_days
from pipeline.tidy.notes.read import pages_of, splitter_of, walk_notes
from pipeline.tidy.notes.tables import DATE_ABOVE, NAME_ABOVE, find_tables, table_as_file
from pipeline.tidy.notes.week_titles import week_titles

if TYPE_CHECKING:
    from pipeline.tidy.names import NameIndex

# Read with all of these, a text that is sets in some order shows as sets.
ANY_ORDER = (
    "load x reps x sets; sets x reps @ load; load x reps; sets x reps load; load reps sets; "
    "load sets x reps; load reps; load : reps; load / reps / sets; load / reps; reps / load; "
    "reps @ load"
)


@dataclass(frozen=True)
class NotesSurvey:
    """What shows in notes before their map is known.

    Parameters
    ----------
    numeric : dates of numbers alone, whose order the map has to say, as written, in file order;
        ``numeric_rows`` are their lines.
    forms : how often dates are written in each way, with an example.
    n_agreeing : dates that fall on the weekday beside them, of ``n_weekdays`` in this order.
    n_lacking : dates whose year is told by nothing in the file.
    weeks : titles that number a week or a day of one, and say no date.
    years : first years that the weekdays beside such dates fit; all where none is written.
    entries : day (None: not known), exercise and sets as written, in file order.
    tables : those inside the notes, as columns by label; day and name above among the labels.
    """

    numeric: tuple[str, ...]
    numeric_rows: tuple[int, ...]
    forms: dict[str, tuple[int, str]]
    n_agreeing: int
    n_weekdays: int
    n_lacking: int
    weeks: tuple[str, ...]
    years: tuple[int, ...]
    entries: tuple[tuple[date | None, str, str], ...]
    tables: tuple[Mapping[str, tuple[str | None, ...]], ...]


def survey_notes(
    raw: RawFile, limit: date, names: "NameIndex", exercises: pl.DataFrame
) -> NotesSurvey:
    """Look at notes with a map that knows the decimal sign, and the order of dates to be tried."""
    raw = replace(raw, map=replace(raw.map, notation_order=ANY_ORDER, plates="per side"))
    pages = pages_of(raw)
    order, first = raw.map.date_order, raw.map.first_year
    marks = find_marks(pages, raw.map)
    lines = resolve_days(marks, order, first, limit)
    headings = frozenset(place for place, mark in marks if mark.kind in ("month", "year"))
    calendar = Calendar(tuple(lines), headings, find_start(pages, raw, limit))
    walked = walk_notes(pages, calendar, splitter_of(raw, names), names, exercises)
    placed = [one for one in marks if one[1].kind in ("day", "weekday")]
    placed += [(calendar.start.place, calendar.start.mark)] if calendar.start else []
    dated = [mark for _, mark in placed]
    counts = Counter(mark.form for mark in dated)
    examples = {mark.form: mark.written for mark in reversed(dated)}
    bare = resolve_days(marks, order, None, limit) if first is not None else lines
    lacking = sum(line.reason == NO_YEAR for line in bare)
    told = [
        one.day.weekday() == one.mark.weekday
        for one in lines
        if one.day is not None and one.mark.kind == "day" and one.mark.weekday is not None
    ]
    return NotesSurvey(
        numeric=tuple(mark.parted for mark in dated if mark.numbers),
        numeric_rows=tuple(place + 1 for place, mark in placed if mark.numbers),
        forms={form: (n, examples[form]) for form, n in counts.most_common()},
        n_agreeing=sum(told),
        n_weekdays=len(told),
        n_lacking=lacking,
        weeks=week_titles(pages.lines),
        years=tuple(fitting_years(marks, order, limit)) if lacking else (),
        entries=tuple(
            (one.day, one.name, one.sets)
            for one in walked.entries
            if one.name is not None and one.reason in (None, NO_YEAR)
        ),
        tables=tuple(
            _columns(table_as_file(table, raw, walked.above))
            for table in find_tables(pages.lines)
            if table.places
        ),
    )


def _columns(table: RawFile) -> dict[str, tuple[str | None, ...]]:
    frame = table.frame.drop("row_no")
    kept = [c for c in frame.columns if c not in (DATE_ABOVE, NAME_ABOVE) or frame[c].count()]
    return {label: tuple(frame[label].to_list()) for label in kept}
