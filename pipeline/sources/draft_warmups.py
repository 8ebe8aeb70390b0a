"""Whether light first sets stand there without a mark."""

from collections.abc import Iterable, Sequence

from pipeline.sources.draft_records import Notebook

LIGHT = 0.6  # first load of an exercise against its heaviest: unmarked warm-ups begin here
LEAST_LIGHT = 0.15  # share of exercises of a day that begin so light


def find_unmarked_warmups(
    loads: Iterable[tuple[str, str, Sequence[float]]], book: Notebook
) -> bool:
    """Days on which an exercise begins far below its heaviest load, with no mark for warm-ups.

    Parameters
    ----------
    loads : day, exercise and loads in the order performed; several of one day and exercise join.
    """
    series: dict[tuple[str, str], list[float]] = {}
    for day, exercise, own in loads:
        series.setdefault((day, exercise), []).extend(own)
    several = [found for found in series.values() if len(found) > 2]
    light = [found for found in several if found[0] <= LIGHT * max(found)]
    if not several or len(light) < LEAST_LIGHT * len(several):
        return False
    book.note(
        f"On {len(light)} of {len(several)} occasions an exercise begins at most {LIGHT:.0%} of "
        "its heaviest load, and nothing marks warm-ups: they are told apart by rule."
    )
    return True
