"""State of the record: what a person mends is told in their own unit."""

from dashboards.prepare.mending import say_moved

WHY = "612.3 kg moved; about 64.64 is usual around it"


def test_a_doubted_load_is_told_in_the_unit_of_the_lifter() -> None:
    assert say_moved(WHY, "kg") == WHY
    assert say_moved(WHY, "lb") == "1350 lb moved; about 142.5 is usual around it"


def test_other_doubts_stay_as_they_are() -> None:
    why = "80 repetitions; about 8 is usual around it"
    assert say_moved(why, "lb") == why
