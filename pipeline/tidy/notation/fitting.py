"""Whether the numbers of a chain can be what an order of fields takes them for."""

from dataclasses import dataclass

from pipeline.tidy.notation.records import Form
from pipeline.tidy.notation.tree import Chain, Item, Term


@dataclass(frozen=True)
class Limits:
    """The most sets and repetitions that a number is believed to mean."""

    sets: int
    reps: int
    is_stated: bool = False


STATED = Limits(sets=20, reps=300, is_stated=True)
CONVENTIONAL = Limits(sets=12, reps=50)  # where no stated order says what the numbers are


def fits(chain: Chain, form: Form, limits: Limits) -> bool:
    """Whether the numbers of ``chain`` can be read in the order ``form``."""
    if tuple(chain.links) != form.links or len(chain.terms) != len(form.fields):
        return False
    pairs = list(zip(form.fields, chain.terms, strict=True))
    if not all(_fits_field(term, field, limits) for field, term in pairs):
        return False
    by_field = dict(pairs)
    return _fits_lists(by_field)


def _fits_lists(by_field: dict[str, Term]) -> bool:
    """A list of repetitions or loads has as many elements as there are sets."""
    sets, load = by_field.get("sets"), by_field.get("load")
    lengths = {len(by_field["reps"].items), len(load.items) if load else 1} - {1}
    if sets is not None:
        lengths.add(int(sets.items[0].number or 0))
        return len(lengths) == 1 or (len(by_field["reps"].items), _length(load)) == (1, 1)
    return len(lengths) <= 1


def _length(term: Term | None) -> int:
    return 1 if term is None else len(term.items)


def _fits_field(term: Term, field: str, limits: Limits) -> bool:
    if term.sure not in (None, field) and not (limits.is_stated and counts_sides(term, field)):
        return False
    limits = STATED if term.sure else limits
    if field == "reps":
        measures = {_measure(item) for item in term.items} - {None}
        return len(measures) <= 1 and all(_fits_reps(item, limits.reps) for item in term.items)
    if field == "load":
        return all(_is_plain(item) for item in term.items)
    item = term.items[0]
    if len(term.items) > 1 or not _is_plain(item):
        return False
    number = item.number or 0.0
    if field == "hands":
        return number == 2
    if field == "sets":
        return number == int(number) and 1 <= number <= limits.sets
    if field == "rpe":
        return 1 <= number <= 10 and number * 2 == int(number * 2)
    return number <= 10


def _measure(item: Item) -> str | None:
    """What an element counts; None for a plan, which stands in any list."""
    if item.duration_s is not None:
        return "seconds"
    if item.distance_m is not None:
        return "metres"
    return None if item.number is None else "reps"


def counts_sides(term: Term, field: str) -> bool:
    """``20 x 10 per side``: where the order says that these are repetitions, done on each side."""
    return field == "reps" and (term.unit, term.basis, term.plates) == (None, "per_side", None)


def _is_plain(item: Item) -> bool:
    return item.number is not None and not item.pauses


def _fits_reps(item: Item, max_reps: int) -> bool:
    numbers = [*item.pauses] if item.number is None else [item.number, *item.pauses]
    return all(n == int(n) and 0 <= n <= max_reps for n in numbers)
