"""The reference tables hold together: ids, words, order, sources, names."""

from itertools import chain

import polars as pl
import pytest

from pipeline.core.dictionary import columns_of
from pipeline.reference import (
    expand_contributions,
    load_aliases,
    load_balance,
    load_contributions,
    load_exercises,
    load_facts,
    load_muscles,
    load_priors,
    load_recovery,
    load_reference,
    load_variants,
    reference_checksum,
)
from pipeline.tidy.names import NameIndex

TABLES = {
    "ref_muscle": load_muscles(),
    "ref_exercise": load_exercises(),
    "ref_alias": load_aliases(),
    "ref_prior": load_priors(),
    "ref_fact": load_facts(),
    "ref_recovery": load_recovery(),
    "ref_balance": load_reference().balance,
    "ref_variant": load_reference().variants,
    "ref_contribution": load_reference().contributions,
}
SHOWN = {
    "pushing": ["chest", "front_delts", "side_delts", "triceps"],
    "pulling": ["lats", "upper_back", "traps", "rear_delts", "biceps", "forearms"],
    "legs": ["quads", "hamstrings", "glutes", "calves"],
    "trunk": ["lower_back", "abs"],
}
# obophenotype/uberon @52817ee, musculoskeletal.obo: read.
UBERON = {
    "chest": "0002381",
    "deltoid": "0001476",
    "triceps": "0001509",
    "serratus": "0001125",
    "lats": "0001112",
    "traps": "0002380",
    "rhomboids": "0005621",
    "rotator_cuff": "0003683",
    "biceps": "0001507",
    "brachialis": "0001506",
    "brachioradialis": "0011011",
    "forearms": "0004487",
    "quads": "0001377",
    "rectus_femoris": "0001378",
    "hamstrings": "0002463",
    "gluteus_maximus": "0001370",
    "gluteus_medius": "0001371",
    "calves": "0001665",
    "gastrocnemius": "0001388",
    "soleus": "0001389",
    "hip_flexors": "0001999",
    "shins": "0001385",
    "lower_back": "0002462",
    "abs": "0002382",
}


def roles_of(contributions: pl.DataFrame, exercise_id: str) -> dict[str, str]:
    rows = contributions.filter(exercise_id=exercise_id)
    return dict(rows.select("muscle_id", "role").iter_rows())


@pytest.mark.parametrize("table", TABLES)
def test_columns_and_values_follow_the_dictionary(table: str) -> None:
    frame = TABLES[table]
    assert frame.columns == [column.name for column in columns_of(table)]
    for column in columns_of(table):
        values = frame[column.name]
        if column.required:
            assert values.null_count() == 0, column.name
        if column.values:
            assert set(values.drop_nulls()) <= set(column.values), column.name
        if column.low is not None:
            assert values.drop_nulls().ge(column.low).all(), column.name
        if column.high is not None:
            assert values.drop_nulls().le(column.high).all(), column.name


@pytest.mark.parametrize(
    ("frame", "key"),
    [
        (load_muscles(), ["muscle_id"]),
        (load_muscles(), ["name"]),
        (load_muscles(), ["page_order"]),
        (load_exercises(), ["exercise_id"]),
        (load_exercises(), ["name"]),
        (load_contributions(), ["exercise_id", "muscle_id"]),
        (load_reference().contributions, ["exercise_id", "muscle_id"]),
        (load_aliases(), ["alias"]),
        (load_priors(), ["muscle_id"]),
        (load_facts(), ["fact_id"]),
        (load_recovery(), ["model", "figure"]),
        (load_balance(), ["pair_id", "measure", "member_id"]),
        (load_variants(), ["exercise_id"]),
    ],
)
def test_nothing_is_there_twice(frame: pl.DataFrame, key: list[str]) -> None:
    assert frame.filter(frame.select(key).is_duplicated()).is_empty()


def test_every_id_named_exists() -> None:
    muscles, exercises = set(load_muscles()["muscle_id"]), set(load_exercises()["exercise_id"])
    assert set(load_muscles()["parent_id"].drop_nulls()) <= muscles
    assert set(load_contributions()["muscle_id"]) <= muscles
    assert set(load_contributions()["exercise_id"]) <= exercises
    assert set(load_aliases()["exercise_id"]) <= exercises
    assert set(load_priors()["muscle_id"]) == {"any", *chain(*SHOWN.values())}
    assert set(load_variants()["exercise_id"]) <= exercises
    members = load_balance().select("member_kind", "member_id").rows()
    assert {one for kind, one in members if kind == "muscle"} <= muscles
    assert {one for kind, one in members if kind == "pattern"} <= set(load_exercises()["pattern"])
    questions = next(one for one in columns_of("finding") if one.name == "question").values
    assert set(load_facts()["question"]) <= set(questions)


def test_every_muscle_is_trained_by_something() -> None:
    assert set(load_reference().contributions["muscle_id"]) == set(load_muscles()["muscle_id"])


def test_every_exercise_trains_something_directly() -> None:
    direct = load_contributions().filter(role="direct")
    assert set(direct["exercise_id"]) == set(load_exercises()["exercise_id"])


def test_shown_muscles_stand_in_the_order_of_the_pages() -> None:
    shown = load_muscles().filter("is_shown").sort("page_order")
    pairs = list(shown.select("family", "muscle_id").iter_rows())
    assert pairs == [(family, one) for family, muscles in SHOWN.items() for one in muscles]


def test_uberon_ids_are_those_that_were_read() -> None:
    given = load_muscles().filter(pl.col("uberon_id").is_not_null())
    assert dict(given.select("muscle_id", "uberon_id").iter_rows()) == {
        muscle: f"UBERON:{number}" for muscle, number in UBERON.items()
    }


def test_bases_are_joint_action_common_practice_or_a_study_that_was_read() -> None:
    stated = set(load_contributions()["basis"])
    studies = stated - {"joint action", "common practice"}
    assert all(study.endswith("(read)") for study in studies), studies


def test_sizes_asked_for() -> None:
    assert load_muscles().height >= 30
    assert load_exercises().height >= 180
    assert load_aliases().height >= 600
    assert set(load_aliases()["language"]) >= {"en", "de", "fr", "es", "it", "nl", "pt", "pl", "sv"}


def test_aliases_are_lower_case_and_find_their_exercise() -> None:
    aliases, exercises = load_aliases(), load_exercises()
    assert (aliases["alias"] == aliases["alias"].str.to_lowercase()).all()
    index = NameIndex.from_reference(aliases, exercises, {})
    named = [*aliases.select("alias", "exercise_id").iter_rows()]
    named += exercises.select("name", "exercise_id").iter_rows()
    lost = [(name, key) for name, key in named if index.resolve(name).exercise_id != key]
    assert lost == []


def test_one_incline_press_at_every_angle() -> None:
    index = NameIndex.from_reference(load_aliases(), load_exercises(), {})
    written = ["incline bench press", "incline bench press 30", "incline bench press 45"]
    found = [index.resolve(name) for name in written]
    assert {one.exercise_id for one in found} == {"incline_bench_press"}
    assert [one.angle_deg for one in found] == [None, 30, 45]
    default = load_exercises().filter(exercise_id="incline_bench_press")["default_angle_deg"]
    assert default.item() == 30


def test_a_leaning_and_an_upright_cable_raise_are_one_exercise() -> None:
    index = NameIndex.from_reference(load_aliases(), load_exercises(), {})
    for name in ("leaning cable lateral raise", "upright cable lateral raise"):
        assert index.resolve(name).exercise_id == "cable_lateral_raise"


def test_expanding_lets_direct_win_over_indirect() -> None:
    muscles = pl.DataFrame(
        {
            "muscle_id": ["whole", "part", "upper", "lower"],
            "parent_id": [None, "whole", "part", "part"],
        }
    )
    written = pl.DataFrame(
        {
            "exercise_id": ["a", "a", "b"],
            "muscle_id": ["upper", "lower", "upper"],
            "role": ["indirect", "direct", "indirect"],
        }
    )
    expanded = expand_contributions(written, muscles)
    assert roles_of(expanded, "a") == {
        "whole": "direct",
        "part": "direct",
        "upper": "indirect",
        "lower": "direct",
    }
    assert roles_of(expanded, "b") == dict.fromkeys(["whole", "part", "upper"], "indirect")
    assert expanded.height == 7


def test_the_checksum_is_short_and_steady() -> None:
    assert reference_checksum() == reference_checksum()
    assert len(reference_checksum()) == 8
