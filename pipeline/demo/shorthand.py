"""How an invented lifter writes loads and sets in a cell.

Written for the demo on its own: nothing of the reader's notation is used here, so that reading it
back is a test of the reader.
"""

from itertools import groupby

from pipeline.core.units import KG_PER_LB
from pipeline.demo.logbook import Entry, Segment

Cluster = tuple[Segment, ...]


def write_number(value: float, decimal: str = ".") -> str:
    """A number without needless zeros: 100, 102.5 or 102,5."""
    return f"{value:g}".replace(".", decimal)


def write_load(segment: Segment, loaded_as: str, unit: str = "kg", decimal: str = ".") -> str:
    """A load as its lifter writes it: half of it for dumbbells, bw or bw+10 on body weight.

    Pounds are written to a tenth, as a sheet shows them.
    """
    value = segment.load_kg / 2 if loaded_as == "per_hand" else segment.load_kg
    if unit == "lb":
        value = round(value / KG_PER_LB, 1)
    number = write_number(value, decimal)
    if loaded_as == "added":
        return f"bw+{number}" if value else "bw"
    return number


def write_sets(entry: Entry, with_reserve: bool = False) -> str:
    """All sets of an entry: ``3x8@100, 1x6@105``, ``100x8,8,7``, ``50x10 > 25x9 > 12.5x8``."""
    written: list[str] = []
    for key, run in groupby(entry.sets, key=lambda one: _run_key(one, with_reserve)):
        if key is None:
            written += [_write_drops(one, entry, with_reserve) for one in run]
        else:
            written.append(_write_run([one[0] for one in run], entry, with_reserve))
    return ", ".join(written)


def shared_reserve(entry: Entry) -> str | None:
    """The reserve of a whole entry where it was the same in all sets; None where it was not."""
    first = entry.sets[0][0].rir
    is_plain = all(
        len(one) == 1 and one[0].rir == first and not one[0].to_failure for one in entry.sets
    )
    return str(first) if is_plain and first is not None else None


def _run_key(one: Cluster, with_reserve: bool) -> object:
    """Sets with the same key are written together; None for a set with drops."""
    if len(one) > 1:
        return None
    first = one[0]
    if with_reserve:
        return first.load_kg, first.reps, first.rir, first.to_failure
    return first.load_kg


def _write_run(run: list[Segment], entry: Entry, with_reserve: bool) -> str:
    load = write_load(run[0], entry.loaded_as)
    reps = [str(segment.reps) for segment in run]
    marks = _marks(run[0], with_reserve)
    if len(set(reps)) == 1:
        return f"{len(run)}x{reps[0]}@{load}{marks}"
    link = " x " if entry.loaded_as == "added" else "x"
    return f"{load}{link}{','.join(reps)}{marks}"


def _write_drops(one: Cluster, entry: Entry, with_reserve: bool) -> str:
    """The parent carries the reserve, the last drop the failure."""
    texts = [f"{write_load(segment, entry.loaded_as)}x{segment.reps}" for segment in one]
    if with_reserve and one[0].rir is not None:
        texts[0] += f" RIR {one[0].rir}"
    if with_reserve and one[-1].to_failure:
        texts[-1] += " to failure"
    return " > ".join(texts)


def _marks(segment: Segment, with_reserve: bool) -> str:
    if not with_reserve:
        return ""
    reserve = "" if segment.rir is None else f" RIR {segment.rir}"
    return reserve + (" to failure" if segment.to_failure else "")
