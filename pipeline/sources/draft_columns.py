"""What each column of an unknown table means: by its label and by its contents."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from pipeline.core.errors import InputError
from pipeline.sources.draft_cells import CLOCK, NUMBER, REPS, Column
from pipeline.sources.draft_fields import FITS, SURE, find_fields
from pipeline.sources.draft_order_change import are_weekdays
from pipeline.sources.draft_records import Notebook, Readers

DAY_SIGNS = 10  # of a moment, such as 2019-03-05T18:30
NAMED = 0.5  # share of distinct cells that are known exercises
ORDERS = ("ymd", "dmy", "mdy")


@dataclass(frozen=True)
class Layout:
    """What kind of table it is, and its columns by field of the map.

    ``lifts`` are the columns of a wide table that are exercises, ``signals`` the measured ones
    with the signal each gives, ``rest`` those that no part of the map reads.
    """

    kind: str
    fields: dict[str, Column]
    lifts: tuple[Column, ...]
    signals: tuple[tuple[Column, str], ...]
    rest: tuple[Column, ...]


def is_day(readers: Readers, year: int | None) -> Callable[[str], bool]:
    """Whether a text is a day in any order."""
    return lambda text: any(
        readers.read_date(text, order, year or 2000) is not None for order in ORDERS
    )


def find_layout(
    columns: tuple[Column, ...], readers: Readers, book: Notebook, year: int | None, file: str
) -> Layout:
    """Kind of table and meaning of its columns.

    Raises
    ------
    InputError
        when there is no column of dates, or nothing that a map can read beside it.
    """
    filled = tuple(column for column in columns if not column.is_empty)
    date = _find_date(filled, is_day(readers, year), book, file)
    others = tuple(column for column in filled if column is not date)
    exercise = _find_exercise(others, readers)
    if exercise is not None:
        others = tuple(column for column in others if column is not exercise)
        kind, fields = find_fields(date, exercise, others, book, file)
        rest = tuple(column for column in others if column not in fields.values())
        layout = Layout(kind, fields, (), (), rest)
        return _with_empty(layout, [column for column in columns if column.is_empty])
    lifts = _find_lifts(others, readers)
    signals = _find_signals(others, book)
    if lifts and len(lifts) >= len(signals):
        rest = tuple(column for column in others if column not in lifts)
        return Layout("wide", {"date": date}, lifts, (), rest)
    if signals:
        return _with_device(date, others, signals)
    labels = ", ".join(column.label for column in columns)
    remedy = "a column of exercises, or of measured values, is needed beside the date"
    raise InputError(file, None, f"columns {labels}: none is an exercise or a signal", remedy)


def _find_date(
    columns: tuple[Column, ...], test: Callable[[str], bool], book: Notebook, file: str
) -> Column:
    """The column with most days in it, one labelled so first; asked about where two are alike.

    A day that is the same in all rows is more likely that of the file than of what was done.
    """
    ranked = [
        (column.meaning.fields.get("date", 0.0) + share, column)
        for column in columns
        if (share := column.share(test)) >= SURE
    ]
    if not columns:
        raise InputError(file, None, "nothing below its labels", "check what the file holds")
    if not ranked:
        named = next((one for one in columns if are_weekdays(one.cells)), None)
        if named is not None:
            value = f"the column {named.label!r} holds weekdays only, which date nothing"
            raise InputError(file, None, value, "write the date of each day, such as 2019-03-05")
        labels = ", ".join(column.label for column in columns)
        remedy = "write a date in each row, such as 2019-03-05, or name the file with its year"
        raise InputError(file, None, f"no column of dates among {labels}", remedy)
    ranked.sort(key=lambda pair: (len(pair[1].counts) > 1, pair[0], -pair[1].place), reverse=True)
    best = ranked[0][1]
    alike = [one for share, one in ranked[1:] if share == ranked[0][0] and _differ(one, best)]
    if not alike:
        return best
    choices = [best.label, *(one.label for one in alike)]
    why = "each holds a day in every row, and not always the same"
    told = book.ask("columns.date", "Which column is the day of training?", choices, why)
    return next((one for one in alike if one.label == told), best)


def _differ(one: Column, other: Column) -> bool:
    """Whether two columns of days tell different days, and neither only one."""
    days, others = ([text[:DAY_SIGNS] for text in column.cells] for column in (one, other))
    return len(set(days)) > 1 and len(set(others)) > 1 and days != others


def _find_exercise(columns: tuple[Column, ...], readers: Readers) -> Column | None:
    """The column of exercise names: by known names, or by its label beside what was done."""

    def known(column: Column) -> float:
        names = list(column.counts)[:200]
        found = sum(readers.resolve_name(name).exercise_id is not None for name in names)
        return found / len(names)

    beside = any(
        column.shorthand >= SURE or column.meaning.fields.get("reps") == 1.0 for column in columns
    )
    ranked = []
    for column in columns:
        if column.share_like(NUMBER) > 1 - SURE or column.shorthand >= SURE:
            continue
        label, share = column.meaning.fields.get("exercise", 0.0), known(column)
        if share >= NAMED or (label == 1.0 and (share > 0 or beside)):
            ranked.append((share + label, column))
    return max(ranked, key=lambda pair: pair[0])[1] if ranked else None


def _with_empty(layout: Layout, empty: Sequence[Column]) -> Layout:
    """Columns that are still empty and whose labels say just what they are for."""
    fields = dict(layout.fields)
    for column in empty:
        for field, strength in column.meaning.fields.items():
            if strength == 1.0 and field in FITS and field not in fields:
                fields[field] = column
                break
    return replace(layout, fields=fields)


def _find_lifts(columns: tuple[Column, ...], readers: Readers) -> tuple[Column, ...]:
    """Columns of a wide table that are exercises: their cells are sets in shorthand.

    A column of bare numbers under a known exercise counts too.
    """

    def is_lift(column: Column) -> bool:
        if column.shorthand >= SURE:
            return True
        is_named = readers.resolve_name(column.label).exercise_id is not None
        return is_named and (column.shorthand > 0 or column.share_like(REPS) >= SURE)

    return tuple(column for column in columns if is_lift(column))


def _find_signals(columns: tuple[Column, ...], book: Notebook) -> tuple[tuple[Column, str], ...]:
    """Measured columns with the signal each gives, by label and plausible values."""
    taken: dict[str, Column] = {}
    for column in columns:
        signals = column.meaning.signals
        if not signals or column.share_like(NUMBER) + column.share_like(CLOCK) < SURE:
            continue
        signal = max(signals, key=lambda name: (signals[name], name.startswith("hrv_")))
        if signal == "hrv":
            signal = book.ask(
                f'signals."{column.label}"',
                f"Which metric is {column.label!r}?",
                ("hrv_rmssd_ms", "hrv_sdnn_ms"),
                "heart-rate variability is RMSSD or SDNN, and the label does not say which",
            )
        if signal not in taken:
            taken[signal] = column
        else:
            book.note(f"{column.label!r} is left out: {taken[signal].label!r} gives {signal}.")
    return tuple((column, signal) for signal, column in taken.items())


def _with_device(
    date: Column, others: tuple[Column, ...], signals: tuple[tuple[Column, str], ...]
) -> Layout:
    measured = [column for column, _ in signals]
    fields = {"date": date}
    for column in others:
        if column not in measured and column.meaning.fields.get("device") == 1.0:
            fields.setdefault("device", column)
    rest = tuple(c for c in others if c not in measured and c not in fields.values())
    return Layout("signals", fields, (), signals, rest)
