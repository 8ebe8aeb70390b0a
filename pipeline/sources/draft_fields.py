"""What the columns beside date and exercise mean: by their labels, and by what stands below."""

from collections import defaultdict
from collections.abc import Callable

from pipeline.core.errors import InputError
from pipeline.core.units import BODY_WEIGHT_WORDS
from pipeline.sources.draft_cells import (
    CLOCK,
    FLAGS,
    LOAD,
    NUMBER,
    REPS,
    REPS_SERIES,
    SIDE_WORDS,
    UNIT_IN_CELL,
    WARM_FLAGS,
    Column,
)
from pipeline.sources.draft_labels import UNITS
from pipeline.sources.draft_records import Notebook

SURE = 0.6  # share of cells that must fit what a label promises
LEAST_CELLS = 20  # from so many on, the numbers of what was done are not all the same
HEAVIEST = 2000.0  # kg or lb; no lift is loaded so
# Words of labels whose numbers count records or versions and are nothing that was done.
NUMBERING = frozenset({"id", "uuid", "index", "idx", "version", "order", "schema", "week", "year"})
COUNTED = 0.9  # share of exercises of a day on whose rows numbers of sets are 1, 2, 3


def find_fields(
    date: Column, exercise: Column, others: tuple[Column, ...], book: Notebook, file: str
) -> tuple[str, dict[str, Column]]:
    """Kind of a table with a column of exercises, and its columns by field of the map.

    The kind is "exercises" where one column holds sets in shorthand, else "sets".

    Raises
    ------
    InputError
        when no column says what was done.
    """
    fields = _assign(others)
    short = max(others, key=lambda column: column.shorthand, default=None)
    is_short = short is not None and short.shorthand >= SURE
    if is_short and short is not None:
        fields = {name: column for name, column in fields.items() if column is not short}
        fields["sets"] = short
    else:
        fields.pop("sets", None)
        _find_count(date, exercise, others, fields, book)
        _find_by_contents(others, fields, book)
        _refuse_nothing_done(fields, others, file)
    return "exercises" if is_short else "sets", {"date": date, "exercise": exercise, **fields}


def _assign(columns: tuple[Column, ...]) -> dict[str, Column]:
    """One column a field: the strongest label whose contents fit goes first."""
    ranked = [
        (strength, -column.place, field, column)
        for column in columns
        for field, strength in column.meaning.fields.items()
        if field in FITS and FITS[field](column)
    ]
    ranked += [(0.9, -c.place, "load", c) for c in columns if c.label.strip().lower() in UNITS]
    fields: dict[str, Column] = {}
    for _, _, field, column in sorted(ranked, key=lambda entry: entry[:2], reverse=True):
        if field not in fields and column not in fields.values():
            fields[field] = column
    return fields


def _is_count(column: Column) -> bool:
    return column.is_whole and max(column.numbers, default=0) <= 30


def _is_flag(column: Column) -> bool:
    return column.share(lambda text: text.lower().rstrip(".") in FLAGS) >= 0.9


def _is_warm_flag(column: Column) -> bool:
    """A plain yes or no needs a label that says warm-up; the words for it do not."""
    says_so = column.share(lambda text: text.lower() in WARM_FLAGS) > 0
    return _is_flag(column) and (says_so or "type" not in column.meaning.words)


def _is_reserve(column: Column) -> bool:
    """Numbers up to 10, or ranges of them such as 1-2."""
    fits = column.share(lambda text: bool(NUMBER.fullmatch(text) or REPS.fullmatch(text)))
    return fits >= 0.9 and max(column.numbers, default=0) <= 10


def _is_text(column: Column) -> bool:
    return column.share_like(NUMBER) < SURE


# What must stand below a label for it to be believed.
FITS: dict[str, Callable[[Column], bool]] = {
    "session": lambda c: not c.is_numeric or c.is_whole,
    "load": lambda c: c.share_like(LOAD) >= SURE and not c.shorthand,
    "reps": lambda c: c.share_like(REPS) + c.share_like(REPS_SERIES) >= SURE,
    "unit": lambda c: c.share(lambda text: text.lower().rstrip(".") in UNITS) >= 0.9,
    "set_no": _is_count,
    "rir": _is_reserve,
    "rpe": _is_reserve,
    "to_failure": _is_flag,
    "is_warmup": _is_warm_flag,
    "drop_of": lambda c: _is_count(c) or _is_flag(c),
    "cluster": lambda c: True,
    "segment": _is_count,
    "superset": lambda c: True,
    "angle": lambda c: len(c.numbers) > 0,
    "position": _is_text,
    "side": lambda c: c.share(lambda text: text.lower().rstrip(".") in SIDE_WORDS) >= 0.9,
    "duration_s": lambda c: c.is_numeric or c.share_like(CLOCK) >= SURE,
    "distance_m": lambda c: c.is_numeric,
    "note": _is_text,
}


def _find_count(
    date: Column,
    exercise: Column,
    others: tuple[Column, ...],
    fields: dict[str, Column],
    book: Notebook,
) -> None:
    """A column labelled sets: so many sets a row, or the set's number where it counts up."""
    for column in others:
        labelled = "sets" in column.meaning.fields and "set_no" not in fields
        if not labelled or column is fields.get("load") or not _is_count(column):
            continue
        is_aligned = len(date.cells) == len(exercise.cells) == len(column.cells)
        if is_aligned and _counts_up(date, exercise, column):
            book.note(f"{column.label!r} counts up within an exercise of a day: the set's number.")
            fields["set_no"] = column
        else:
            book.note(f"{column.label!r} counts sets: each row stands for so many.")
            fields["n_sets"] = column
        return


def _counts_up(date: Column, exercise: Column, column: Column) -> bool:
    """Whether the numbers are 1, 2, 3 on the rows of an exercise of a day.

    One warm-up and three working sets differ too, and are no such numbers.
    """
    bouts: dict[tuple[str, str], list[float]] = defaultdict(list)
    for day, name, number in zip(date.cells, exercise.cells, column.cells, strict=True):
        bouts[day, name].append(float(number) if number.isdigit() else 0.0)
    several = [sorted(numbers) for numbers in bouts.values() if len(numbers) > 1]
    up = [numbers for numbers in several if numbers == list(range(1, len(numbers) + 1))]
    return bool(several) and len(up) >= COUNTED * len(several)


def _find_by_contents(
    columns: tuple[Column, ...], fields: dict[str, Column], book: Notebook
) -> None:
    """Repetitions and load without a label that says so: proposed, and asked about."""
    for field, what in (("reps", "repetitions"), ("load", "the load")):
        if field in fields:
            continue
        weighed = [c for c in columns if c not in fields.values() and _has_units(c)]
        if field == "load" and len(weighed) == 1:
            book.note(f"{weighed[0].label!r} holds weights with their unit: the load.")
            fields[field] = weighed[0]
            continue
        free = [c for c in columns if c not in fields.values() and _may_be_done(c)]
        fitting = [c for c in free if _is_count(c)] if field == "reps" else free
        varied = [c for c in fitting if len(c.counts) > 1 or len(c.cells) < LEAST_CELLS]
        if varied:
            best = max(varied, key=lambda c: max(c.numbers)) if field == "load" else varied[0]
            told = f"no label says {what}; by its numbers it may be {best.label!r}"
            others = [c for c in fitting if c is not best]
            if not others:
                book.note(f"{told}, the only column that fits.".replace("no label", "No label", 1))
                fields[field] = best
                continue
            choices = [best.label, *(c.label for c in others)]
            label = book.ask(f"columns.{field}", f"Which column is {what}?", choices, told)
            fields[field] = next((c for c in fitting if c.label == label), best)


def _may_be_done(column: Column) -> bool:
    """Numbers that a lift can have: no number of a record, and none too large."""
    if not column.is_numeric or not column.numbers or NUMBERING & set(column.meaning.words):
        return False
    return max(column.numbers) <= HEAVIEST


def _has_units(column: Column) -> bool:
    """Whether the cells are weights that say their unit, or body weight: ``60kg``, ``bw``."""
    is_load = column.share_like(LOAD) >= SURE and column.share(_says_unit) >= SURE
    return is_load and not column.meaning.signals


def _says_unit(text: str) -> bool:
    return bool(UNIT_IN_CELL.search(text)) or text.lower() in BODY_WEIGHT_WORDS


def _refuse_nothing_done(fields: dict[str, Column], columns: tuple[Column, ...], file: str) -> None:
    if not fields.keys() & {"reps", "duration_s", "distance_m"}:
        labels = ", ".join(column.label for column in columns)
        remedy = "a column of repetitions, or of sets such as 3x8@100, is needed"
        raise InputError(file, None, f"columns {labels}: nothing says what was done", remedy)
