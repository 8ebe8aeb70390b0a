"""Drafting a map: the exercise names of a file."""

from collections import Counter

from pipeline.sources.draft_columns import Layout
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_records import NameLine, Notebook, Readers


def match_names(table: LooseTable, layout: Layout, readers: Readers) -> tuple[NameLine, ...]:
    """The exercise names of a table, most frequent first, and what each is matched to."""
    if layout.kind == "wide":
        counts = {column.label: len(column.cells) for column in layout.lifts}
    else:
        counts = dict(layout.fields["exercise"].counts)
    ranked = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(NameLine(name, n, readers.resolve_name(name)) for name, n in ranked)


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
