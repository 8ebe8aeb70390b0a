"""Set notation, third step: which number is what.

A chain of numbers has a skeleton (``N x N``, ``N x N @ N``). It is read by

1. the first order stated in the map that has this skeleton and fits the numbers (more than 12
   sets are believed only where no other reading is left); else
2. what a stated order implies when its load or its sets are left out (``sets x reps @ load``
   implies ``sets x reps`` and ``reps @ load``), when it fits surely; else
3. the conventional orders, by elimination: if exactly one fits, it is meant.

Where every number says itself what it is (``3 sets, 8 reps, 60 kg``) no order is needed.

If more than one is left the text is ambiguous, and is refused with the readings named.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from pipeline.tidy.notation.conventions import CONVENTIONS, Convention
from pipeline.tidy.notation.fitting import CONVENTIONAL, STATED, counts_sides, fits
from pipeline.tidy.notation.records import Form, Notation, read_form
from pipeline.tidy.notation.tree import Chain, Term
from pipeline.tidy.notation.views import all_views, list_views

SURE_SETS = 10  # more sets than this are believed only where nothing else fits
FEW_SETS = 6  # "3 x 8-10": up to here the number before a planned range is one of sets
MOST_RPE = 10
LOW_REPS = 30  # "12 x 40": up to here the second number is taken for repetitions

SETS_X_REPS = read_form("sets x reps", "sets x reps")
LOAD_X_REPS = read_form("load x reps", "load x reps")


class AmbiguousError(Exception):
    """More than one reading, or none; ``readings`` names them. ``remedy``: what to write, if that
    is no matter of the order."""

    def __init__(self, readings: tuple[str, ...], remedy: str | None = None) -> None:
        super().__init__(readings)
        self.readings, self.remedy = readings, remedy


def choose_form(chain: Chain, notation: Notation, in_cluster: bool) -> tuple[Form, Chain]:
    """The order in which to read ``chain``, and the chain so that its terms are the fields.

    In a drop cluster sets have no place.

    Raises
    ------
    AmbiguousError
        when the map and the numbers leave none or more than one.
    """
    if _is_plan_of_sets(chain) and not in_cluster and LOAD_X_REPS in notation.forms:
        if SETS_X_REPS not in implied_forms(notation) | {*notation.forms}:
            raise AmbiguousError((str(SETS_X_REPS), str(LOAD_X_REPS)))
        return SETS_X_REPS, chain
    views = list(all_views(chain))
    stated = [
        (form, view)
        for form in notation.forms
        for view in views
        if not _is_set(form, in_cluster) and fits(view, form, STATED)
    ][:1]
    if stated and _sets_of(*stated[0]) <= CONVENTIONAL.sets:
        _refuse_many_reps(*stated[0])
        return stated[0]
    said = _said_form(chain)
    if said is not None and not _is_set(said, in_cluster):
        return said, chain
    readings = [
        (form, view)
        for view in list_views(chain)
        for form in conventional_readings(view)
        if not _is_set(form, in_cluster)
    ]
    readings = readings or _sets_of_sides(views, notation)
    readings = stated + [reading for reading in readings if reading[0] not in dict(stated)]
    implied = [reading for reading in readings if reading[0] in implied_forms(notation)]
    if len(readings) == 1 and (turned := _turned(readings[0][0], notation)) is not None:
        raise AmbiguousError((str(readings[0][0]), turned))
    is_unsure = [_may_be_hands(form, view) for form, view in readings] == [True]
    if (len(readings) == 1 and not is_unsure) or _are_one(readings):
        _refuse_many_sets(*readings[0])
        return readings[0]
    if len(implied) == 1 and _sets_of(*implied[0]) <= SURE_SETS:
        return implied[0]
    others = ("hands x load x reps",) if is_unsure else _readings_by_sides(chain, readings)
    raise AmbiguousError((*(str(form) for form, _ in readings), *others))


def _are_one(readings: list[tuple[Form, Chain]]) -> bool:
    """``100 x 5 x 5``: whichever way, five sets of five."""
    numbers = [
        {field: term.items[0].number for field, term in zip(form.fields, view.terms, strict=True)}
        for form, view in readings
    ]
    is_plain = all(len(term.items) == 1 for _, view in readings for term in view.terms)
    return len(numbers) > 1 and is_plain and all(one == numbers[0] for one in numbers)


def _refuse_many_sets(form: Form, chain: Chain) -> None:
    """``20x10 w/ 20kg``: twenty sets, or the load said twice?"""
    n = _sets_of(form, chain)
    if "load" not in form.fields or n <= CONVENTIONAL.sets:
        return
    if chain.terms[form.fields.index("sets")].sure != "sets":
        raise AmbiguousError((), f"{n:g} sets? write '{n:g} sets x ...', or the load once")


def says_reps(form: Form) -> bool:
    """Whether many repetitions at a small load have to be called so in this order."""
    return {*form.fields} == {"sets", "reps", "load"} and {*form.links} <= {"x", "@"}


def _refuse_many_reps(form: Form, chain: Chain) -> None:
    """``8x60@3``: sixty repetitions at three kilograms, or a load and an RPE?"""
    if not says_reps(form):
        return
    terms = dict(zip(form.fields, chain.terms, strict=True))
    reps, load = terms["reps"].items[0].number, terms["load"].items[0].number
    is_bare = terms["reps"].sure is None and terms["load"].sure is None
    if is_bare and (reps or 0) > CONVENTIONAL.reps and (load or 0) <= MOST_RPE:
        raise AmbiguousError(
            (),
            f"{reps:g} repetitions, or a load and an RPE? write '{reps:g} reps' or 'RPE {load:g}'",
        )


def _sets_of_sides(views: list[Chain], notation: Notation) -> list[tuple[Form, Chain]]:
    """``3x10 per side``: where the order implies few sets, repetitions done on each side."""
    return [
        (form, view)
        for form in implied_forms(notation)
        for view in views
        if view.terms[-1].basis == "per_side"
        and form.fields == ("sets", "reps")
        and fits(view, form, STATED)
        and is_few(view.terms[0].items[0].number)
    ]


def _readings_by_sides(chain: Chain, readings: list[tuple[Form, Chain]]) -> tuple[str, ...]:
    """``20x10 each side``, where nothing else fits: repetitions or a load on each side."""
    if (
        readings
        or len(chain.terms) != 2
        or chain.links != ["x"]
        or not counts_sides(chain.terms[1], "reps")
    ):
        return ()
    is_many = (chain.terms[0].items[0].number or 0.0) > CONVENTIONAL.sets
    return (str(LOAD_X_REPS), "reps x load" if is_many else str(SETS_X_REPS))


def _turned(form: Form, notation: Notation) -> str | None:
    """The stated order that has sets and repetitions the other way round than ``form``.

    ``8x3 100kg`` is read by convention as 8 sets, but a file of ``reps x sets @ load`` means 3.
    """
    orders = {stated.fields: stated for stated in notation.forms}
    if form.fields in orders or "load" not in form.fields or "@" in form.links:
        return None
    for fields, stated in orders.items():
        is_same = set(fields) == set(form.fields) and len(fields) == 3
        if is_same and fields.index("load") == form.fields.index("load"):
            return str(stated)
    return None


def _is_plan_of_sets(chain: Chain) -> bool:
    """``3 x 8-10``: a plan of so few that they are sets; nobody plans a range at 3 kg."""
    if chain.links != ["x"] or len(chain.terms) != 2 or chain.terms[0].sure is not None:
        return False
    target = chain.terms[1].items[0].target or ""
    is_plan = "-" in target or chain.result is not None
    return is_plan and is_few(chain.terms[0].items[0].number)


def is_few(number: float | None) -> bool:
    """Whether a number before a planned range may be one of sets."""
    return number is not None and number == int(number) and 1 <= number <= FEW_SETS


def _said_form(chain: Chain) -> Form | None:
    """The order that the words beside the numbers say, where each has one."""
    said = tuple(term.sure for term in chain.terms if term.sure is not None)
    is_whole = len(said) == len(chain.terms) == len(set(said)) > 1 and "reps" in said
    form = Form(said, tuple(chain.links))
    return (
        form if is_whole and not _may_be_hands(form, chain) and fits(chain, form, STATED) else None
    )


def _may_be_hands(form: Form, chain: Chain) -> bool:
    """``2x30kg``: two repetitions, or one weight in each hand?"""
    first, *others = chain.terms
    is_pair = str(form) == "reps x load" and first.sure is None
    has_unit = bool(others) and others[0].unit is not None and others[0].basis is None
    return is_pair and has_unit and first.items[0].number == 2


def _is_set(form: Form, in_cluster: bool) -> bool:
    return in_cluster and "sets" in form.fields


@cache
def implied_forms(notation: Notation) -> frozenset[Form]:
    """Stated orders with sets left out at either end, or the load at the end."""
    return frozenset(short for form in notation.forms for short in _shorter(form))


def _shorter(form: Form) -> Iterator[Form]:
    if len(form.fields) < 2:
        return
    if form.fields[-1] in ("load", "sets"):
        yield Form(form.fields[:-1], form.links[:-1])
    if form.fields[0] == "sets":
        yield Form(form.fields[1:], form.links[1:])


def _sets_of(form: Form, chain: Chain) -> float:
    """The number of sets that ``form`` finds in ``chain``."""
    if "sets" not in form.fields:
        return 1.0
    return chain.terms[form.fields.index("sets")].items[0].number or 0.0


def conventional_readings(chain: Chain) -> list[Form]:
    """Every conventional order that fits the numbers of ``chain``."""
    return [c.form for c in CONVENTIONS if _is_conventional(chain, c)]


def _is_conventional(chain: Chain, convention: Convention) -> bool:
    form = convention.form
    if form == LOAD_X_REPS and _is_load_by_sides(chain):
        return fits(chain, form, replace(CONVENTIONAL, is_stated=True))
    if not fits(chain, form, CONVENTIONAL):
        return False
    by_field = dict(zip(form.fields, chain.terms, strict=True))
    if convention.explicit and by_field[convention.explicit].sure != convention.explicit:
        return False
    if "load" in form.fields[1:] and form.links[form.fields.index("load") - 1] == "x":
        return form.fields[0] == "sets" or _is_late_load(by_field["load"], by_field["reps"])
    return True


def _is_load_by_sides(chain: Chain) -> bool:
    """``25x10 each side``: more than are sets, and then repetitions done on each side."""
    if len(chain.terms) != 2 or not counts_sides(chain.terms[1], "reps"):
        return False
    number = chain.terms[0].items[0].number or 0.0
    return chain.terms[0].sure == "load" or number > STATED.sets or number != int(number)


def _is_late_load(load: Term, reps: Term) -> bool:
    """``8 x 100``: a load after the repetitions has to show itself.

    A bare "per hand" does not: after the last number it may speak of the repetitions.
    """
    if reps.items[0].duration_s is not None and len(load.items) > 1 and load.sure is None:
        return False  # "20s x 3, 2": sets or loads
    if load.sure == "load":
        return load.unit is not None or load.basis in ("added", "assisted")
    number = load.items[0].number or 0.0
    return reps.sure == "reps" or number > LOW_REPS or number != int(number)
