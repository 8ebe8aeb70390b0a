"""Any valid list of sets, printed in any supported order, is read back unchanged."""

import os
from dataclasses import replace

from hypothesis import example, given, settings
from hypothesis import strategies as st

from pipeline.tidy.notation import Notation, NotationError, ParsedSet, parse_sets, print_sets

ORDERS = (
    "sets x reps @ load",
    "sets x reps @ load; load x reps",
    "load x reps x sets",
    "load x reps x sets; load x reps",
    "load x sets x reps",
    "sets x reps x load",
    "load x reps",
    "reps x load",
    "reps @ load",
    "load x reps @ rpe",
    "load reps",
    "reps load",
    "load reps sets",
    "load : reps",
    "sets x reps",
    "reps",
    "load / reps / sets; load / reps",
    "sets x load x reps; load x reps",
    "hands x load x reps; load x reps",
    "sets reps load",
    "load reps; load x reps",
)
NOTES = ("slow", "RPE 8", "(a)", '"', "+10", "20kg", "8, 7", "drop 8", "RPE 8, slow", "DB", "7,5")
BARS = ("bar", "ez bar", "trap bar", "smith", "safety bar", "swiss bar")
notations = st.builds(Notation, order=st.sampled_from(ORDERS), decimal=st.sampled_from(".,"))
decimals = st.integers(0, 400_000).map(lambda n: n / 1000)
loads = st.one_of(
    st.builds(
        dict,
        load=decimals,
        unit=st.sampled_from([None, "kg", "lb"]),
        basis=st.sampled_from([None, "added", "assisted", "per_hand", "per_side"]),
    ),
    st.builds(
        dict,
        load=decimals,
        unit=st.sampled_from([None, "kg", "lb"]),
        basis=st.just("on_bar"),
        bar=st.sampled_from(BARS),
    ),
    st.builds(
        dict,
        load=decimals,
        unit=st.sampled_from([None, "kg", "lb"]),
        basis=st.just("per_side"),
        plates=st.one_of(st.none(), st.integers(1, 20).map(lambda n: n / 2)),
        bar=st.sampled_from([None, *BARS]),
    ),
    st.builds(dict, load=decimals, bar=st.sampled_from(BARS[1:])),
    st.just({}),
)
targets = st.one_of(
    st.integers(1, 100).map(str),
    st.tuples(st.integers(1, 50), st.integers(1, 50)).map(lambda p: f"{p[0]}-{p[0] + p[1]}"),
    st.integers(1, 50).map(lambda n: f"{n}+"),
    st.tuples(decimals, st.integers(1, 50), st.sampled_from("sm")).map(
        lambda p: f"{p[0]:g}-{int(p[0]) + p[1]} {p[2]}"
    ),
    st.just("max"),
)
work = st.one_of(
    st.builds(dict, reps=st.integers(0, 300)),
    st.builds(dict, reps=st.integers(0, 300), reps_target=targets),
    st.builds(dict, reps=st.integers(0, 50), duration_s=decimals),
    st.builds(dict, duration_s=decimals),
    st.builds(dict, distance_m=decimals),
    st.builds(dict, distance_m=decimals, duration_s=decimals, reps_target=targets),
    st.builds(dict, reps_target=targets),
)
effort = st.one_of(
    st.none(), st.integers(0, 40).map(lambda n: n / 2), st.integers(0, 2000).map(lambda n: n / 100)
)
notes = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), min_size=1, max_size=12)
marks = st.builds(
    dict,
    rir=effort,
    to_failure=st.sampled_from([None, True, False]),
    is_warmup=st.booleans(),
    side=st.sampled_from([None, "left", "right", "both"]),
    note=st.one_of(st.none(), st.sampled_from(NOTES), notes),
)
one_set = st.builds(lambda a, b, c: ParsedSet(**a, **b, **c), loads, work, marks)
plain_set = st.builds(
    lambda load, reps: ParsedSet(load=load, reps=reps), decimals, st.integers(0, 30)
)
groups = st.one_of(
    st.tuples(st.integers(1, 12), st.one_of(one_set, plain_set)).map(lambda p: [p[1]] * p[0]),
    st.lists(st.one_of(one_set, plain_set), min_size=2, max_size=4).map(tuple),
)


@st.composite
def set_lists(draw: st.DrawFn) -> tuple[ParsedSet, ...]:
    """Straight sets (lists, perhaps repeated) and drop clusters (tuples) in any order.

    In a cluster no load rises: that is no drop, and refused.
    """
    sets: list[ParsedSet] = []
    cluster = 0
    for group in draw(st.lists(groups, max_size=4)):
        if isinstance(group, tuple):
            cluster += 1
            falling = sorted(group, key=lambda one: -(one.load or 0.0))
            numbered = enumerate(falling, 1)
            sets.extend(replace(s, cluster=cluster, segment_no=i) for i, s in numbered)
        else:
            sets.extend(group)
    return tuple(sets)


@settings(max_examples=400, deadline=None)
@given(set_lists(), notations)
@example((ParsedSet(load=0.0, reps_target="51"),), Notation())
def test_printed_sets_are_read_back_unchanged(sets, notation):
    text = print_sets(sets, notation)
    if len(text) <= 2000:
        assert parse_sets(text, notation) == sets


PIECES = st.sampled_from(
    ["3", "x", "8", "@", "100", ",", ";", "/", ">", "+", "-", " ", "bw", "kg", "lb", "RPE", "RIR",
     "left", "L", "R", "w", "fail", "per hand", "each side", ":", "30s", "20 m", "1:30", "max",
     "8-10", "(", ")", '"', "drop", "sets", "reps", "target", "in", "2", "\n", "12.5", "12,5",
     "plates", "per side", "bar", "ez bar", "did", "rp", "f", "miss", "felt good", " x ", "a", "'",
     "(x3)", "½", "#", "and", " - ", " / ", "100", "km", ".", "(+10)", "(20kg)", "(8, 7)", "(drop",
     "Set 1", "S2 ", "DB", "12r", "e/s", "40k", " +10", ":30", "7,5", "%", "(RPE 8, slow)", " 8 7"]
)  # fmt: skip


def read_or_refuse(text: str, notation: Notation) -> tuple[ParsedSet, ...] | NotationError:
    try:
        return parse_sets(text, notation)
    except NotationError as error:
        return error


# make fuzz asks for more
@settings(max_examples=int(os.environ.get("FUZZ_EXAMPLES", "1500")), deadline=1000)
@given(st.one_of(st.lists(PIECES, max_size=14).map("".join), st.text(max_size=40)), notations)
def test_any_text_is_read_or_refused(text, notation):
    found = read_or_refuse(text, notation)
    if isinstance(found, NotationError):
        assert 0 <= found.position <= len(text)
        assert found.remedy
        return
    for one in found:
        has_work = (one.reps, one.reps_target, one.duration_s, one.distance_m)
        assert any(value is not None for value in has_work)
        assert one.rir is None or 0 <= one.rir <= 20
        assert one.load is None or one.load >= 0


@settings(max_examples=600, deadline=None)
@given(st.lists(PIECES, max_size=12).map("".join), notations)
def test_what_was_read_can_be_printed_and_read_again(text, notation):
    found = read_or_refuse(text, notation)
    if isinstance(found, NotationError):
        return
    assert parse_sets(print_sets(found, notation), notation) == found
