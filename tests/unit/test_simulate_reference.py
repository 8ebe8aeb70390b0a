"""The simulator's own list of lifts must say what the reference tables say."""

import csv
from pathlib import Path

import pytest

from pipeline.models.simulate import MUSCLES
from pipeline.models.simulate.catalogue import LIFTS

REFERENCE = Path(__file__).parents[2] / "pipeline" / "reference"


def read(name):
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


EXERCISES = {row["exercise_id"]: row for row in read("exercises.csv")}
PARENTS = {row["muscle_id"]: row["parent_id"] for row in read("muscles.csv")}
ROLES = read("contributions.csv")


def shown_muscle(muscle_id):
    """The muscle of the pages that a region belongs to, None for muscles not simulated."""
    while muscle_id and muscle_id not in MUSCLES:
        muscle_id = PARENTS.get(muscle_id, "")
    return muscle_id or None


@pytest.mark.parametrize("exercise_id", sorted(LIFTS))
def test_simulated_lift_agrees_with_the_reference(exercise_id):
    lift, row = LIFTS[exercise_id].exercise, EXERCISES[exercise_id]
    assert lift.equipment == row["equipment"]
    assert lift.is_compound == (row["mechanics"] == "compound")
    assert lift.body_weight_share == float(row["body_weight_share"])
    muscles = {"direct": set(), "indirect": set()}
    for role in ROLES:
        if role["exercise_id"] == exercise_id and role["role"] in muscles:
            muscles[role["role"]].add(shown_muscle(role["muscle_id"]))
    assert set(lift.direct) == muscles["direct"] - {None}
    assert set(lift.indirect) == muscles["indirect"] - muscles["direct"] - {None}
