"""Drafting a map: the exercise names of a file."""

from collections import Counter

from pipeline.core.errors import InputError
from pipeline.sources.draft_columns import Layout
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_records import NameLine, Notebook, Readers
from pipeline.sources.draft_toml import list_labels


def match_names(table: LooseTable, layout: Layout, readers: Readers) -> tuple[NameLine, ...]:
    """The exercise names of a table, most frequent first, and what each is matched to."""
    if layout.kind == "wide":
        counts = {column.label: len(column.cells) for column in layout.lifts}
    else:
        counts = dict(layout.fields["exercise"].counts)
    ranked = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(NameLine(name, n, readers.resolve_name(name)) for name, n in ranked)


def knows_any(names: tuple[NameLine, ...]) -> bool:
    """Whether any of the names means an exercise."""
    return any(line.match.exercise_id is not None for line in names)


def ask_lifts(names: tuple[NameLine, ...], file: str, book: Notebook) -> None:
    """Ask whether the columns of a wide table are exercises, where no label is the name of one.

    Raises
    ------
    InputError
        when they are not.
    """
    if not names or knows_any(names):
        return
    labels = list_labels([line.written for line in names])
    text = f"Are these columns exercises: {labels}?"
    why = "their cells look like sets, and no label is the name of an exercise that is known"
    if book.ask("columns.exercises", text, ("yes", "no"), why) == "no":
        remedy = "write the exercise above its column, or on the line of its sets"
        raise InputError(file, None, f"no exercises among {labels}", remedy)


def tell_names(names: tuple[NameLine, ...], book: Notebook) -> None:
    """How many names were matched and how, and which were not."""
    hows = Counter(line.match.how for line in names if line.match.exercise_id)
    found = ", ".join(f"{n} by {how}" for how, n in hows.most_common()) or "none"
    book.note(f"{len(names)} exercise names; matched: {found}.")
    for line in names:
        if line.match.exercise_id is None:
            near = ", ".join(line.match.candidates) or "nothing near"
            book.note(
                f"{line.written!r} ({line.count} times) is unmatched; nearest: {near}. Its sets "
                "are kept; say what it is in names.toml."
            )
