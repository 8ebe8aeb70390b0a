"""Set notation, last step: chains with a known order become sets."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

from pipeline.core.written import NOTHING
from pipeline.tidy.notation.grammar import parse_groups
from pipeline.tidy.notation.marks import Marks
from pipeline.tidy.notation.plans import as_plan, item_of, with_results
from pipeline.tidy.notation.readings import AmbiguousError, choose_form
from pipeline.tidy.notation.records import Form, Notation, NotationError, ParsedSet
from pipeline.tidy.notation.tree import Chain, Group, Item, Term

# (text, position, remedy) -> error, bound to the text that is being read
Refuse = Callable[[int, str], NotationError]


def parse_sets(text: str, notation: Notation) -> tuple[ParsedSet, ...]:
    """The sets that ``text`` tells of, in order; a drop cluster gives one row per segment.

    A blank text, or a lone dash, is no set at all. Syntax, words and rules: see the package.

    Raises
    ------
    NotationError
        for anything that is not understood or can be understood in two ways.
    """
    if text.strip() in NOTHING:
        return ()

    def refuse(position: int, remedy: str) -> NotationError:
        return NotationError(text, position, remedy)

    sets: list[ParsedSet] = []
    clusters = 0
    for group in parse_groups(text, notation):
        segments, is_cluster = _read_group(group, notation, refuse)
        if sets and not group.is_apart and (sets[-1].load is None) != (segments[0].load is None):
            raise refuse(
                group.chains[0].start,
                "sets with a load and sets without, side by side: write the load behind each, or "
                "',' between them",
            )
        if is_cluster:
            clusters += 1
            segments = _number_segments(segments, clusters)
        sets.extend(segments)
    return tuple(sets)


def _number_segments(segments: list[ParsedSet], cluster: int) -> list[ParsedSet]:
    return [replace(s, cluster=cluster, segment_no=i) for i, s in enumerate(segments, 1)]


def _read_group(group: Group, notation: Notation, refuse: Refuse) -> tuple[list[ParsedSet], bool]:
    """Sets of one entry, and whether they are the segments of one cluster."""
    in_cluster = len(group.chains) > 1
    sets: list[ParsedSet] = []
    for chain in group.chains:
        form, view = _form_of(chain, notation, in_cluster, refuse)
        found = list(_read_chain(view, form, refuse))
        done = chain.result or view.terms[form.fields.index("reps")]
        pauses = sum(len(item.pauses) for item in done.items)
        is_cluster = in_cluster or pauses > 0
        if is_cluster and len(found) != 1 + pauses:
            raise refuse(chain.start, "several sets with drops or pauses: write each set apart")
        sets.extend(found)
    if group.by_plus:
        _check_drops(sets, group, refuse)
    elif in_cluster:
        _refuse_rise(sets, group, refuse)
    return sets, in_cluster or (len(sets) > 1 and is_cluster)


def _form_of(
    chain: Chain, notation: Notation, in_cluster: bool, refuse: Refuse
) -> tuple[Form, Chain]:
    try:
        return choose_form(chain, notation, in_cluster)
    except AmbiguousError as error:
        raise refuse(chain.start, error.remedy or _explain(error.readings)) from None


def _explain(readings: tuple[str, ...]) -> str:
    if not readings:
        return (
            "these numbers fit no known order of sets, repetitions and load: write e.g. "
            "'3x8@100', or state the order in [notation] order of the map, such as "
            "'load reps' for '60 8' or 'load / reps / sets' for '60/8/3'"
        )
    choices = " or ".join(f"'{reading}'" for reading in readings)
    return (
        f"may be read as {choices}: add the right one to [notation] order of the map, after a ';'"
    )


def _check_drops(sets: list[ParsedSet], group: Group, refuse: Refuse) -> None:
    """``+`` joins drops only where each load is below the one before it and none is signed."""
    for before, after in pairwise(sets):
        falls = (after.load or 0.0) < (before.load or 0.0)
        if before.basis in ("added", "assisted") or not falls:
            raise refuse(
                group.chains[-1].start,
                "'+' may join drops or mean added weight here: write '>' for a drop, ',' otherwise",
            )


def _refuse_rise(sets: list[ParsedSet], group: Group, refuse: Refuse) -> None:
    """``100x8 > 105x8`` is no drop: the next set, or what is meant for the next time."""
    for before, after in pairwise(sets):
        is_like = before.basis == after.basis != "assisted" and before.unit == after.unit
        if is_like and (after.load or 0.0) > (before.load or 0.0):
            raise refuse(
                group.chains[-1].start,
                "a drop with more weight than before it: separate sets by ',' and leave out what "
                "was not done",
            )


def _read_chain(chain: Chain, form: Form, refuse: Refuse) -> Iterator[ParsedSet]:
    terms = dict(zip(form.fields, chain.terms, strict=True))
    reps, load = terms["reps"], terms.get("load")
    others = [term for name, term in terms.items() if name != "reps"]
    shared = [chain.prefix, *(item.marks for term in others for item in term.items)]
    n = int(terms["sets"].items[0].number or 1) if "sets" in terms else 0
    n = n or max(len(reps.items), len(load.items) if load else 1)
    hands = "hands" in terms
    for item, i in with_results(chain, reps, n, refuse):
        marks = _merge([*shared, _effort(terms), item.marks], chain, refuse)
        is_weightless = load is None or (load.basis == "added" and not item_of(load, i).number)
        if marks.weighs and is_weightless:
            raise refuse(
                chain.start,
                "a weight in the remark and none beside the set: write '@' before the load, or "
                "'\"' around the remark",
            )
        base = _with_load(load, i, hands, _base(marks), refuse)
        base = replace(base, side="both") if reps.basis == "per_side" else base
        item = as_plan(item) if marks.is_plan and chain.result is None else item
        yield from _sets_of_item(item, base, chain, refuse)


def _effort(terms: dict[str, Term]) -> Marks:
    if "rpe" in terms:
        return Marks(rir=10.0 - (terms["rpe"].items[0].number or 0.0))
    return Marks(rir=terms["rir"].items[0].number) if "rir" in terms else Marks()


def _merge(parts: list[Marks], chain: Chain, refuse: Refuse) -> Marks:
    """All that was said of one set; the same thing said twice must agree."""
    merged = Marks()
    for part in parts:
        for name in ("rir", "to_failure", "side", "target", "duration_s", "bar"):
            value, before = getattr(part, name), getattr(merged, name)
            if value is None:
                continue
            if before not in (None, value):
                raise refuse(chain.start, f"two values for one set, {before} and {value}: keep one")
            setattr(merged, name, value)
        merged.is_warmup = merged.is_warmup or part.is_warmup
        merged.is_plan = merged.is_plan or part.is_plan
        merged.weighs = merged.weighs or part.weighs
        merged.notes.extend(part.notes)
    return merged


def _base(marks: Marks) -> ParsedSet:
    return ParsedSet(
        rir=marks.rir,
        to_failure=marks.to_failure,
        is_warmup=marks.is_warmup,
        side=marks.side,
        reps_target=marks.target,
        duration_s=marks.duration_s,
        note="; ".join(marks.notes) or None,
        bar=marks.bar,
    )


def _with_load(
    load: Term | None, i: int, hands: bool, base: ParsedSet, refuse: Refuse
) -> ParsedSet:
    if load is None:
        return base
    if load.bar is not None and base.bar not in (None, load.bar):
        raise refuse(load.start, f"two bars for one set, {base.bar} and {load.bar}: keep one")
    if hands and load.basis not in (None, "per_hand"):
        raise refuse(load.start, "a load in each hand, and another word for what it counts")
    return replace(
        base,
        load=item_of(load, i).number,
        unit=load.unit,
        basis="per_hand" if hands else load.basis,
        plates=load.plates,
        bar=load.bar or base.bar,
    )


def _sets_of_item(item: Item, base: ParsedSet, chain: Chain, refuse: Refuse) -> Iterator[ParsedSet]:
    """The set, and after each pause within it one more segment at the same load.

    What was said about the effort follows the last segment and belongs to it.
    """
    whole = _with_work(item, base, chain, refuse)
    if not item.pauses:
        yield whole
        return
    yield replace(whole, rir=None, to_failure=None)
    plain = replace(base, rir=None, to_failure=None, reps_target=None, duration_s=None)
    for pause in item.pauses[:-1]:
        yield replace(plain, reps=int(pause))
    yield replace(plain, reps=int(item.pauses[-1]), rir=base.rir, to_failure=base.to_failure)


def _with_work(item: Item, base: ParsedSet, chain: Chain, refuse: Refuse) -> ParsedSet:
    if item.target is not None:
        if base.reps_target is not None:
            raise refuse(chain.start, "two plans for one set: keep one")
        return replace(base, reps_target=item.target)
    if item.duration_s is not None:
        if base.duration_s is not None:
            raise refuse(chain.start, "two durations for one set: keep one")
        return replace(base, duration_s=item.duration_s)
    if item.distance_m is not None:
        return replace(base, distance_m=item.distance_m)
    return replace(base, reps=int(item.number or 0))
