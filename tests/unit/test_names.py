"""Exercise names: what is matched, what is left unmatched, and what a name says beside the lift."""

import doctest
import random
from importlib import resources

import polars as pl
import pytest

from pipeline.core.dictionary import conform
from pipeline.core.errors import SettingsError
from pipeline.tidy import name_words
from pipeline.tidy.names import LIMIT, NameIndex, read_name_decisions

EXERCISES = [
    ("bench_press", "Bench press", "barbell", "lying"),
    ("incline_press", "Incline bench press", "barbell", "lying"),
    ("decline_press", "Decline bench press", "barbell", "lying"),
    ("dumbbell_press", "Dumbbell bench press", "dumbbell", "lying"),
    ("dumbbell_incline_press", "Incline dumbbell press", "dumbbell", "lying"),
    ("back_squat", "Back squat", "barbell", "standing"),
    ("front_squat", "Front squat", "barbell", "standing"),
    ("hack_squat", "Hack squat", "machine", "back_braced"),
    ("lat_pulldown", "Lat pulldown", "cable", "seated"),
    ("pull_up", "Pull-up", "body_weight", "hanging"),
    ("cable_lateral_raise", "Cable lateral raise", "cable", "standing"),
    ("lateral_raise", "Dumbbell lateral raise", "dumbbell", "standing"),
    ("upright_row", "Upright row", "barbell", "standing"),
    ("barbell_curl", "Barbell curl", "barbell", "standing"),
    ("dumbbell_curl", "Dumbbell curl", "dumbbell", "standing"),
    ("seated_leg_curl", "Seated leg curl", "machine", "seated"),
    ("lying_leg_curl", "Lying leg curl", "machine", "lying"),
    ("back_extension_45", "45-degree back extension", "body_weight", "other"),
    ("calf_raise", "Standing calf raise", "machine", "standing"),
    ("row", "Barbell row", "barbell", "standing"),
    ("pushdown", "Triceps pushdown", "cable", "standing"),
    ("overhead_press", "Overhead press", "barbell", "standing"),
]
ALIASES = [
    ("rdl", "romanian"),
    ("ohp", "overhead_press"),
    ("kniebeuge", "back_squat"),
    ("développé couché", "bench_press"),
    ("squat", "back_squat"),
    ("leg curl", "seated_leg_curl"),
    ("leg curl", "lying_leg_curl"),
    ("lateral raise", "lateral_raise"),
    ("leaning cable lateral raise", "cable_lateral_raise"),
    ("single leg squat", "hack_squat"),
    ("sl squat", "front_squat"),
]


def make_index(decisions: dict[str, str] | None = None) -> NameIndex:
    exercises = pl.DataFrame(
        EXERCISES, orient="row", schema=["exercise_id", "name", "equipment", "stance"]
    )
    aliases = pl.DataFrame(
        [row for row in ALIASES if row[1] != "romanian"],
        orient="row",
        schema=["alias", "exercise_id"],
    )
    return NameIndex.from_reference(
        conform("ref_alias", aliases), conform("ref_exercise", exercises), decisions or {}
    )


@pytest.fixture(scope="module")
def index() -> NameIndex:
    return make_index()


@pytest.mark.parametrize(
    ("text", "exercise_id", "how"),
    [
        ("Bench press", "bench_press", "name"),
        ("BENCH PRESSES", "bench_press", "name"),
        ("bench-press", "bench_press", "name"),
        ("benchpress", "bench_press", "alias"),
        ("developpe couche", "bench_press", "alias"),
        ("Développé Couché", "bench_press", "alias"),
        ("Kniebeuge", "back_squat", "alias"),
        ("OHP", "overhead_press", "alias"),
        ("DB bench press", "dumbbell_press", "name"),
        ("Inc. DB Press", "dumbbell_incline_press", "name"),
        ("press incline dumbbell", "dumbbell_incline_press", "words"),
        ("Lat pull down", "lat_pulldown", "name"),
        ("Lat Pull-Downs", "lat_pulldown", "name"),
        ("pull ups", "pull_up", "name"),
        ("tri pushdowns", "pushdown", "name"),
        ("barbell bench press", "bench_press", "words"),
        ("cable lat pulldown", "lat_pulldown", "words"),
        ("standing barbell curl", "barbell_curl", "words"),
        ("seated cable lat pulldown", "lat_pulldown", "words"),
        ("heavy back squat", "back_squat", "words"),
        ("benhc press", "bench_press", "spelling"),
        ("Bench prss", "bench_press", "spelling"),
        ("benchpres", "bench_press", "spelling"),
        ("lat puldown", "lat_pulldown", "spelling"),
        ("Overhed Press", "overhead_press", "spelling"),
        ("barbell rwo", "row", "spelling"),
        ("frnot squat", "front_squat", "spelling"),
        ("tricep pushd.", "pushdown", "spelling"),
    ],
)
def test_a_name_finds_its_exercise(index, text, exercise_id, how):
    found = index.resolve(text)
    assert (found.exercise_id, found.how) == (exercise_id, how)
    assert LIMIT <= found.certainty <= 1
    assert found.candidates == ()


@pytest.mark.parametrize(
    "text",
    [
        "dumbbell row",
        "paused bench press",
        "leg curl",
        "curl",
        "thing",
        "",
        "123",
        "pack squat",
        "next",
        "lead",
    ],
)
def test_what_is_not_clear_stays_unmatched_with_candidates(index, text):
    found = index.resolve(text)
    assert found.exercise_id is None
    assert found.how == "unmatched"
    assert found.certainty < LIMIT
    assert len(found.candidates) <= 3


def test_a_tie_names_both(index):
    assert set(index.resolve("leg curl").candidates[:2]) == {"seated_leg_curl", "lying_leg_curl"}
    assert set(index.resolve("pack squat").candidates[:2]) == {"back_squat", "hack_squat"}


def test_the_nearest_exercises_are_offered(index):
    assert index.resolve("paused bench press").candidates[0] == "bench_press"
    assert len(index.resolve("paused bench press").candidates) == 3


def test_a_written_alias_goes_before_what_its_abbreviation_stands_for_elsewhere(index):
    assert index.resolve("SL squats").exercise_id == "front_squat"
    assert index.resolve("one-leg squat").exercise_id == "hack_squat"
    assert index.resolve("1 leg squat").exercise_id == "hack_squat"


def test_known_words_are_never_turned_into_others(index):
    assert index.resolve("incline squat").exercise_id is None
    assert index.resolve("decline dumbbell press").exercise_id is None


@pytest.mark.parametrize(
    ("text", "exercise_id", "angle"),
    [
        ("incline bench press 45", "incline_press", 45),
        ("45 deg incline bench press", "incline_press", 45),
        ("Incline DB press (30°)", "dumbbell_incline_press", 30),
        ("incline bench press 22.5°", "incline_press", 22.5),
        ("decline bench press 15", "decline_press", -15),
        ("flat bench press", "bench_press", 0),
        ("incline bench press", "incline_press", None),
        ("45 degree back extension", "back_extension_45", None),
    ],
)
def test_the_angle_in_a_name(index, text, exercise_id, angle):
    found = index.resolve(text)
    assert (found.exercise_id, found.angle_deg) == (exercise_id, angle)


@pytest.mark.parametrize(
    ("text", "exercise_id", "position"),
    [
        ("leaning cable lateral raise", "cable_lateral_raise", "leaning"),
        ("cable lateral raise leaning away", "cable_lateral_raise", "leaning"),
        ("upright cable lateral raise", "cable_lateral_raise", "upright"),
        ("cable lateral raise behind the back", "cable_lateral_raise", "behind"),
        ("cable lateral raise, in front", "cable_lateral_raise", "front"),
        ("front squat", "front_squat", None),
        ("upright row", "upright_row", None),
        ("uprigth row", "upright_row", None),
        ("leaning cable lateral raize", "cable_lateral_raise", "leaning"),
    ],
)
def test_the_position_in_a_name(index, text, exercise_id, position):
    found = index.resolve(text)
    assert (found.exercise_id, found.position) == (exercise_id, position)


def test_the_side_in_a_name(index):
    assert index.resolve("cable lateral raise (L)").side == "left"
    assert index.resolve("right cable lateral raise").side == "right"
    assert index.resolve("cable lateral raise").side is None


def test_a_name_with_set_up_is_a_little_less_certain(index):
    plain, angled = index.resolve("incline bench press"), index.resolve("incline bench press 45")
    assert angled.certainty < plain.certainty == 1.0


def test_the_lifters_decision_goes_first():
    index = make_index({"Bench (gym B)": "hack_squat", "curl": "barbell_curl"})
    assert index.resolve("bench gym b").exercise_id == "hack_squat"
    assert index.resolve("Curls").how == "decision"
    assert index.resolve("bench press").exercise_id == "bench_press"


def test_a_decision_for_no_exercise_is_refused():
    with pytest.raises(
        SettingsError, match="'bench_pres': no such exercise: did you mean bench_press"
    ):
        make_index({"bench": "bench_pres"})


def test_decisions_are_read_from_their_file(tmp_path):
    path = tmp_path / "names.toml"
    assert read_name_decisions(path) == {}
    path.write_text('# mine\n[names]\n"Bench (gym B)" = "hack_squat"\n', "utf-8")
    assert read_name_decisions(path) == {"Bench (gym B)": "hack_squat"}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[nams]\n"a" = "b"\n', r"unknown key nams: did you mean names\?"),
        ("[names]\na = 3\n", "names.a = 3"),
        ("[names\n", "not valid TOML"),
    ],
)
def test_a_wrong_decisions_file_is_one_plain_line(tmp_path, text, message):
    path = tmp_path / "names.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(SettingsError, match=message):
        read_name_decisions(path)


@pytest.fixture(scope="module")
def reference() -> dict[str, pl.DataFrame]:
    folder = resources.files("pipeline").joinpath("reference")
    names = ("aliases", "exercises")
    return {n: pl.read_csv(folder.joinpath(f"{n}.csv").read_bytes()) for n in names}


@pytest.fixture(scope="module")
def shipped(reference) -> NameIndex:
    return NameIndex.from_reference(reference["aliases"], reference["exercises"], {})


def test_a_short_word_does_not_become_another(shipped):
    """Two slips may mend 'benchpres', but make no other lift of a name of as many words."""
    assert shipped.resolve("rumm Kreuzheben").exercise_id != "sumo_deadlift"
    assert shipped.resolve("rum. Kreuzheben").exercise_id == "romanian_deadlift"
    assert shipped.resolve("Kuiten staand").exercise_id == "standing_calf_raise"


def test_every_shipped_name_and_alias_finds_its_own_exercise(reference, shipped):
    names = reference["exercises"].select("name", "exercise_id").rows()
    for text, exercise_id in [*names, *reference["aliases"].select("alias", "exercise_id").rows()]:
        assert shipped.resolve(text).exercise_id == exercise_id, text


def slip(name: str, rng: random.Random) -> str:
    """One slip of the pen: a letter left out, swapped, doubled by another or replaced."""
    at = rng.randrange(len(name) - 1)
    letter = rng.choice("abcdefghijklmnopqrstuvwxyz")
    slips = (
        name[:at] + name[at + 1 :],
        name[:at] + name[at + 1] + name[at] + name[at + 2 :],
        name[:at] + letter + name[at + 1 :],
        name[:at] + letter + name[at:],
    )
    return rng.choice(slips)


def test_a_slip_of_the_pen_is_mended_or_left_but_hardly_ever_taken_for_another(reference, shipped):
    rng = random.Random(20)
    right = wrong = 0
    rows = reference["exercises"].select("name", "exercise_id").rows()
    for name, exercise_id in rows:
        found = shipped.resolve(slip(name.lower(), rng)).exercise_id
        right += found == exercise_id
        wrong += found not in (exercise_id, None)
    assert right >= 0.9 * len(rows)
    assert wrong <= 0.01 * len(rows)


def test_documentation_examples_are_true():
    result = doctest.testmod(name_words)
    assert result.attempted
    assert result.failed == 0
