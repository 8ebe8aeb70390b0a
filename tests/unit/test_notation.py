"""The set notation: what it reads, what it refuses, and that its documentation is true."""

import doctest

import pytest

import pipeline.tidy.notation as notation_package
from pipeline.core.errors import SettingsError
from pipeline.tidy.notation import Notation, NotationError, ParsedSet, parse_sets, read_forms

PLAIN = Notation()
COMMA = Notation(order="sets x reps @ load; load x reps", decimal=",")


def brief(text: str, notation: Notation = PLAIN) -> list[tuple[float | None, int | None]]:
    return [(s.load, s.reps) for s in parse_sets(text, notation)]


def only(text: str, notation: Notation = PLAIN) -> ParsedSet:
    (one,) = parse_sets(text, notation)
    return one


def test_documentation_examples_are_true():
    result = doctest.testmod(notation_package)
    assert result.attempted > 10
    assert result.failed == 0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("3x8@100", [(100, 8)] * 3),
        ("3 x 8 @ 100", [(100, 8)] * 3),
        ("3×8@100", [(100, 8)] * 3),
        ("3 sets of 8 reps at 100", [(100, 8)] * 3),
        ("3x8@100, 1x6@105", [(100, 8)] * 3 + [(105, 6)]),
        ("3x8@100; 1x6@105", [(100, 8)] * 3 + [(105, 6)]),
        ("3x8@100\n1x6@105", [(100, 8)] * 3 + [(105, 6)]),
        ("100x8,8,7", [(100, 8), (100, 8), (100, 7)]),
        ("100 x 8/8/7", [(100, 8), (100, 8), (100, 7)]),
        ("90 x 9, 8, 6", [(90, 9), (90, 8), (90, 6)]),
        ("100x8,8, 105x6,5", [(100, 8), (100, 8), (105, 6), (105, 5)]),
        ("100x8 100x7 105x5", [(100, 8), (100, 7), (105, 5)]),
        ("3x8/8/7@100", [(100, 8), (100, 8), (100, 7)]),
        ("3x5@100/105/110", [(100, 5), (105, 5), (110, 5)]),
        ("15x12", [(15, 12)]),
        ("8x12,12,11", [(8, 12), (8, 12), (8, 11)]),
        ("3x8,8,7", [(None, 8), (None, 8), (None, 7)]),
        ("3 sets: 8, 8, 7", [(None, 8), (None, 8), (None, 7)]),
        ("100kg: 8, 8, 7", [(100, 8), (100, 8), (100, 7)]),
        ("60: 10, 8", [(60, 10), (60, 8)]),
        ("4x6@90", [(90, 6)] * 4),
        ("8@100, 7@100", [(100, 8), (100, 7)]),
        ("8 reps with 100", [(100, 8)]),
        ("100kg 3x8", [(100, 8)] * 3),
        ("60 x 10 10 9", [(60, 10), (60, 10), (60, 9)]),
        ("60x10 10 10 65x8 8 8", [(60, 10)] * 3 + [(65, 8)] * 3),
        ("100 (5,5,4)", [(100, 5), (100, 5), (100, 4)]),
        ("100 (5 5 4)", [(100, 5), (100, 5), (100, 4)]),
        ("60(8) 65(8) 70(6)", [(60, 8), (65, 8), (70, 6)]),
        ("60kg (8)", [(60, 8)]),
        ("3 x (8@100)", [(100, 8)] * 3),
        ("60 x (8,8,7)", [(60, 8), (60, 8), (60, 7)]),
        ("12 @ 40 x3", [(40, 12)] * 3),
        ("12r 40kg", [(40, 12)]),
        ("40k x 12", [(40, 12)]),
        ("DB 20 x 10", [(20, 10)]),
        ("Set 1: 60 x 8", [(60, 8)]),
        ("Set 1: 60 x 8, Set 2: 65x6", [(60, 8), (65, 6)]),
        ("Set 1 60x8\nSet 2 65x6", [(60, 8), (65, 6)]),
        ("S1 60x8 S2 65x6", [(60, 8), (65, 6)]),
        ("1) 60x8 2) 65x6", [(60, 8), (65, 6)]),
        ("3x8 (20kg)", [(20, 8)] * 3),
        ("3x8 [@ 60]", [(60, 8)] * 3),
        ("3x8 (w/ 60)", [(60, 8)] * 3),
        ("1x5@135,1x5@185", [(135, 5), (185, 5)]),
        ("60kgx10,65kgx8", [(60, 10), (65, 8)]),
        ("3x8,60kg", [(60, 8)] * 3),
        ("3x8 100kg", [(100, 8)] * 3),
        ("8 x 100kg", [(100, 8)]),
        ("3x8x100", [(100, 8)] * 3),
        ("100x0", [(100, 0)]),
        (".5x8,8", [(0.5, 8), (0.5, 8)]),
        ("12 reps", [(None, 12)]),
    ],
)
def test_reads_sets_repetitions_and_load(text, expected):
    assert brief(text) == expected


@pytest.mark.parametrize(
    ("order", "text", "expected"),
    [
        ("load x reps x sets", "70x6x4", [(70, 6)] * 4),
        ("load x reps x sets", "70x6", [(70, 6)]),
        ("load x reps x sets", "20x8", [(20, 8)]),
        ("load x sets x reps", "70x4x6", [(70, 6)] * 4),
        ("sets x reps x load", "4x6x10", [(10, 6)] * 4),
        ("load reps", "60 8", [(60, 8)]),
        ("load reps sets", "60 8 3, 62.5 6 2", [(60, 8)] * 3 + [(62.5, 6)] * 2),
        ("reps x load", "10x20", [(20, 10)]),
        ("load x reps", "3x8", [(3, 8)]),
        ("sets x reps", "3x8", [(None, 8)] * 3),
        ("sets x reps @ load; load x reps", "3x8, 3x8@100", [(3, 8)] + [(100, 8)] * 3),
        ("reps", "12, 10, 8", [(None, 12), (None, 10), (None, 8)]),
        ("load x reps", "4x6@90", [(90, 6)] * 4),
    ],
)
def test_the_order_of_numbers_is_the_maps(order, text, expected):
    assert brief(text, Notation(order=order)) == expected


@pytest.mark.parametrize(
    "text",
    [
        "50x10 > 25x9 > 12.5x8",
        "50x10 -> 25x9 → 12.5x8",
        "50x10 drop 25x9 drop 12.5x8",
        "50x10 (drop 25x9, drop to 12.5x8)",
        "50x10 (drop) 25x9 (drop) 12.5x8",
        "50x10, drop 25x9, drop to 12.5x8",
        "50x10 + 25x9 + 12.5x8",
        "10@50 > 9@25 > 8@12.5",
    ],
)
def test_drops_are_one_cluster(text):
    found = parse_sets(text, PLAIN)
    assert brief(text) == [(50, 10), (25, 9), (12.5, 8)]
    assert [(s.cluster, s.segment_no) for s in found] == [(1, 1), (1, 2), (1, 3)]


def test_clusters_are_numbered_and_straight_sets_are_not():
    found = parse_sets("60x10, 50x10 > 25x9, 40x10 > 20x10", PLAIN)
    assert [(s.cluster, s.segment_no) for s in found] == [
        (None, 1),
        (1, 1),
        (1, 2),
        (2, 1),
        (2, 2),
    ]


def test_pauses_within_a_set_are_a_cluster_at_one_load():
    found = parse_sets("100x8+4+3 to failure", PLAIN)
    assert [(s.load, s.reps, s.cluster, s.segment_no) for s in found] == [
        (100, 8, 1, 1),
        (100, 4, 1, 2),
        (100, 3, 1, 3),
    ]
    assert [s.to_failure for s in found] == [None, None, True]


@pytest.mark.parametrize(
    ("text", "load", "unit", "basis", "reps"),
    [
        ("bw x 11", 0, None, "added", 11),
        ("BWx11", 0, None, "added", 11),
        ("bodyweight x 11", 0, None, "added", 11),
        ("bw+10x8", 10, None, "added", 8),
        ("bw + 10kg x 8", 10, "kg", "added", 8),
        ("+10x8", 10, None, "added", 8),
        ("-20x8", 20, None, "assisted", 8),
        ("bw - 20 x 8", 20, None, "assisted", 8),
        ("20/hand x 10", 20, None, "per_hand", 10),
        ("20 kg per hand x 10", 20, "kg", "per_hand", 10),
        ("60 a side x 8", 60, None, "per_side", 8),
        ("1x10@20 each", 20, None, "per_hand", 10),
        ("225lbs x 5", 225, "lb", None, 5),
        ("1x8 (+10kg)", 10, "kg", "added", 8),
        ("1x8 (+10)", 10, None, "added", 8),
        ("1x8 (+2.5)", 2.5, None, "added", 8),
        ("1x8 (bw+10)", 10, None, "added", 8),
        ("1x8 (12 kg each)", 12, "kg", "per_hand", 8),
        ("1x8 +10kg", 10, "kg", "added", 8),
        ("1x8 +10", 10, None, "added", 8),
        ("132lb (60kg) x 8", 132, "lb", None, 8),
        ("100kgx8", 100, "kg", None, 8),
    ],
)
def test_what_the_load_counts(text, load, unit, basis, reps):
    one = only(text)
    assert (one.load, one.unit, one.basis, one.reps) == (load, unit, basis, reps)


@pytest.mark.parametrize(
    ("text", "rir", "to_failure"),
    [
        ("100x8 RPE 8.5", 1.5, None),
        ("100x8 @RPE9", 1.0, None),
        ("100x8 @ rpe 9", 1.0, None),
        ("100x8@9", 1.0, None),
        ("100x8 rpe: 9", 1.0, None),
        ("1x8@100@9", 1.0, None),
        ("100x8, RPE 9", 1.0, None),
        ("100x8 RIR 2", 2.0, None),
        ("100x8 2 RIR", 2.0, None),
        ("100x8 @ 2 RIR", 2.0, None),
        ("1x8 @100 @2RIR", 2.0, None),
        ("100x8 8 RPE", 2.0, None),
        ("100x8 @8 RPE", 2.0, None),
        ("100x8 (8 RPE)", 2.0, None),
        ("100x8 2 left", 2.0, None),
        ("100x8 (2 left)", 2.0, None),
        ("100x8 (RIR 2, slow)", 2.0, None),
        ("100x8 (@9)", 1.0, None),
        ("100x8 2 reps in reserve", 2.0, None),
        ("100x8 fail", None, True),
        ("100x8 to failure", None, True),
        ("100x8 (to failure)", None, True),
        ("100x8 RIR 0", 0.0, None),
    ],
)
def test_effort(text, rir, to_failure):
    one = only(text)
    assert (one.reps, one.rir, one.to_failure) == (8, rir, to_failure)


def test_a_mark_belongs_to_what_it_follows():
    assert [s.rir for s in parse_sets("100x8,8,7 RPE 9", PLAIN)] == [None, None, 1.0]
    assert [s.rir for s in parse_sets("100x8 RPE 8, 8 RPE 9", PLAIN)] == [2.0, 1.0]
    assert [s.rir for s in parse_sets("3x8@100 RPE 8", PLAIN)] == [2.0, 2.0, 2.0]
    cluster = parse_sets("50x10 RIR 1 > 25x9 fail", PLAIN)
    assert [(s.rir, s.to_failure) for s in cluster] == [(1.0, None), (None, True)]


def test_of_a_range_of_effort_the_middle_is_kept_with_its_words():
    assert (only("100x8 RPE 8-9").rir, only("100x8 RPE 8-9").note) == (1.5, "RPE 8-9")


@pytest.mark.parametrize(
    ("text", "target", "count"),
    [
        ("3 x 8-10", "8-10", 3),
        ("3 x 8 to 10", "8-10", 3),
        ("100 x 12-15", "12-15", 1),
        ("100x8+", "8+", 1),
        ("3 x max", "max", 3),
        ("3 x 30-45s", "30-45 s", 3),
    ],
)
def test_a_plan_is_no_result(text, target, count):
    found = parse_sets(text, PLAIN)
    assert len(found) == count
    assert {(s.reps, s.duration_s, s.reps_target) for s in found} == {(None, None, target)}


def test_a_plan_of_a_few_is_one_of_sets():
    order = "load x reps x sets; load x reps"
    with pytest.raises(NotationError, match="'sets x reps' or 'load x reps'"):
        parse_sets("3 x 8-10", Notation(order=order))
    found = parse_sets("3 x 8-10", Notation(order=f"{order}; sets x reps"))
    assert [(s.load, s.reps_target) for s in found] == [(None, "8-10")] * 3
    assert only("20 x 8-10", Notation(order=order)).load == 20


@pytest.mark.parametrize(
    ("text", "order"), [("8x3 100kg", "reps x sets @ load"), ("60kg 8x3", "load x reps x sets")]
)
def test_sets_and_repetitions_against_the_order_of_the_file_are_refused(text, order):
    with pytest.raises(NotationError, match=f"or '{order}'"):
        parse_sets(text, Notation(order))
    assert len(parse_sets(text, PLAIN)) == 8


def test_pauses_are_listed_by_commas_too():
    found = parse_sets("100x8 rp 3, 2, 90x8", PLAIN)
    assert [(s.load, s.reps, s.cluster) for s in found] == [
        (100, 8, 1),
        (100, 3, 1),
        (100, 2, 1),
        (90, 8, None),
    ]


def test_a_plan_beside_its_result():
    assert (only("100x9 target 8-10").reps, only("100x9 target 8-10").reps_target) == (9, "8-10")
    found = parse_sets("3x8-10 60kg: 10, 9, 8", PLAIN)
    assert [(s.load, s.reps, s.reps_target) for s in found] == [
        (60, 10, "8-10"),
        (60, 9, "8-10"),
        (60, 8, "8-10"),
    ]


def test_time_and_distance():
    assert only("bw x 30s").duration_s == 30
    assert only("bw x 1:30").duration_s == 90
    assert only("bw x 2 min").duration_s == 120
    assert only("bw x 1 min 30 s").duration_s == 90
    assert only("40 x 20 m").distance_m == 20
    carry = only("40 x 20m in 15s")
    assert (carry.load, carry.distance_m, carry.duration_s) == (40, 20, 15)
    assert [s.duration_s for s in parse_sets("3x30s", PLAIN)] == [30, 30, 30]
    assert [s.duration_s for s in parse_sets("3 x :30", PLAIN)] == [30, 30, 30]


def test_sides():
    assert [s.side for s in parse_sets("20x10L/9R", PLAIN)] == ["left", "right"]
    assert [s.side for s in parse_sets("20xL10/R9", PLAIN)] == ["left", "right"]
    assert [s.side for s in parse_sets("L: 20x10, R: 20x9", PLAIN)] == ["left", "right"]
    assert only("20x10 left").side == "left"
    assert only("20x10 per leg").side == "both"
    assert [s.side for s in parse_sets("20x10r, 20x10l", PLAIN)] == ["right", "left"]
    assert [(s.reps, s.side) for s in parse_sets("3x10 e/s", PLAIN)] == [(10, "both")] * 3


def test_warm_up_marks():
    assert [s.is_warmup for s in parse_sets("w 60x5, 80x3 (warm-up), 100x8", PLAIN)] == [
        True,
        True,
        False,
    ]
    for text, marked in (
        ("warm-up: 60x5, 80x3; 100x8", [True, True, False]),
        ("warm-up: 60x5, 80x3\n100x8", [True, True, False]),
        ("w 60x5, 100x8", [True, False]),
        ("100x8 (warm up 60x5, 80x3), 105x6", [True, True, False, False]),
    ):
        assert [s.is_warmup for s in parse_sets(text, PLAIN)] == marked


def test_remarks():
    assert only("100x8 (felt like 105x8)").note == "felt like 105x8"
    assert only('100x8 "RPE 8"').note == "RPE 8"
    assert only("100x8 (slow) (belt)").note == "slow; belt"
    assert only("100x8 (a (b) c)").note == "a (b) c"
    assert only("100x8 (RIR 2, slow)").note == "slow"
    assert (only("1x8 (60 kg, slow)").load, only("1x8 (60 kg, slow)").note) == (60, "slow")
    assert only("100x8 (RPE 8 (hard))").note == "RPE 8 (hard)"
    assert only("132lb (60kg) x 8").note == "60kg"
    assert only("20kg DB x 10").note == "DB"
    assert only("100x8 barbell felt heavy").note == "barbell felt heavy"
    assert only('1x8 "20kg vest"').note == "20kg vest"


def test_decimal_comma():
    assert brief("3x8@102,5; 1x6@105", COMMA) == [(102.5, 8)] * 3 + [(105, 6)]
    assert brief("102,5x8;8;7", COMMA) == [(102.5, 8), (102.5, 8), (102.5, 7)]
    assert brief("102,5x8/8/7", COMMA) == [(102.5, 8), (102.5, 8), (102.5, 7)]
    assert brief("90 x 9, 8, 6", COMMA) == [(90, 9), (90, 8), (90, 6)]
    assert only("100x8 RPE 8,5", COMMA).rir == 1.5


@pytest.mark.parametrize("text", ["", "   ", "\n", "-", " – "])
def test_blank_is_no_set(text):
    assert parse_sets(text, PLAIN) == ()


@pytest.mark.parametrize("order", ["", "sets x", "sets x load", "weight x reps", "reps x reps"])
def test_an_order_that_says_nothing_is_refused(order):
    with pytest.raises(SettingsError, match="an order names reps"):
        Notation(order=order)


def test_the_decimal_sign_is_checked():
    with pytest.raises(SettingsError, match=r"write '\.' or ','"):
        Notation(decimal="'")


def test_orders_are_read_and_said_the_same_way():
    forms = read_forms("sets x reps @ load; load x reps; load reps")
    assert [str(form) for form in forms] == ["sets x reps @ load", "load x reps", "load reps"]
