"""Facts of the trade that no paper settles. Each: common practice, no published source."""

from pipeline.tidy.notation import Notation, parse_sets

DOUBLE_DROP = "50x10 > 25x9 > 12.5x8"


def test_a_double_drop_is_one_set_of_three_segments():
    """Each segment at half the load before it (common practice, no published source)."""
    segments = parse_sets(DOUBLE_DROP, Notation())
    assert {s.cluster for s in segments} == {1}
    assert [s.segment_no for s in segments] == [1, 2, 3]
    loads = [s.load for s in segments]
    assert loads[1] == loads[0] / 2
    assert loads[2] == loads[1] / 2


def test_the_tonnage_of_a_double_drop_counts_every_segment():
    """50 x 10 + 25 x 9 + 12.5 x 8 = 825 kg (computed)."""
    segments = parse_sets(DOUBLE_DROP, Notation())
    assert sum((s.load or 0.0) * (s.reps or 0) for s in segments) == 825.0


def test_only_the_first_segment_of_a_drop_stands_for_strength():
    """The parent, 50 x 10 (common practice, no published source)."""
    parents = [s for s in parse_sets(DOUBLE_DROP, Notation()) if s.segment_no == 1]
    assert [(s.load, s.reps) for s in parents] == [(50.0, 10)]
