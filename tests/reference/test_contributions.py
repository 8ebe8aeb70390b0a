"""Weekly sets by the fractional count, and the published values in the reference files.

The count: direct sets 1, indirect 0.5 (Pelland, Remmert, Robinson, Hinson, Zourdos, Sports Med,
doi 10.1007/s40279-025-02344-w: read in the abstract). The worked week below is computed from that
definition; which muscle is direct on which lift is a convention, not a measured stimulus.
"""

import math

import pytest

from pipeline.reference import load_facts, load_priors, load_reference

COUNT = {"direct": 1.0, "indirect": 0.5}
REFERENCE = load_reference()


def weekly_sets(week: dict[str, int]) -> dict[str, float]:
    """Fractional sets per muscle from sets per exercise."""
    total: dict[str, float] = {}
    for exercise_id, muscle, role in REFERENCE.contributions.iter_rows():
        if exercise_id in week:
            total[muscle] = total.get(muscle, 0.0) + COUNT[role] * week[exercise_id]
    return total


@pytest.mark.parametrize("row", ["barbell_row", "seated_cable_row", "chest_supported_row"])
@pytest.mark.parametrize("extension", ["triceps_pushdown", "lying_triceps_extension"])
def test_worked_week(row: str, extension: str) -> None:
    """4 bench, 3 triceps isolation, 2 rows. Source: the definition; computed."""
    sets = weekly_sets({"bench_press": 4, extension: 3, row: 2})
    assert sets["chest"] == 4.0
    assert sets["triceps"] == 4 * 0.5 + 3
    assert sets["front_delts"] == 2.0
    assert sets["lats"] == 2.0
    assert sets["biceps"] == 1.0


def test_rear_delt_isolation_is_direct() -> None:
    """Three sets on each rear-delt isolation lift: common practice, no published source."""
    lifts = ["machine_rear_delt_fly", "cable_rear_delt_fly", "dumbbell_rear_delt_fly"]
    for lift in lifts:
        assert weekly_sets({lift: 3})["rear_delts"] == 3.0


@pytest.mark.parametrize(
    ("lift", "muscle", "sets"),
    [
        ("overhead_press", "front_delts", 1.0),
        ("overhead_press", "side_delts", 0.5),
        ("incline_bench_press", "chest_clavicular", 1.0),
        ("incline_bench_press", "chest", 1.0),
        ("bench_press", "chest_clavicular", 0.5),
        ("chin_up", "lats", 1.0),
        ("chin_up", "biceps", 0.5),
        ("hammer_curl", "forearms", 1.0),
        ("back_squat", "quads", 1.0),
        ("back_squat", "rectus_femoris", 0.5),
        ("leg_press", "glutes", 0.5),
        ("leg_extension", "rectus_femoris", 1.0),
        ("romanian_deadlift", "hamstrings", 1.0),
        ("romanian_deadlift", "lower_back", 0.5),
        ("hip_thrust", "glutes", 1.0),
        ("seated_calf_raise", "soleus", 1.0),
        ("seated_calf_raise", "gastrocnemius", 0.5),
        ("seated_leg_curl", "calves", 0.5),
        ("cable_lateral_raise", "deltoid", 1.0),
    ],
)
def test_single_sets(lift: str, muscle: str, sets: float) -> None:
    """Joint action and common practice, no published source."""
    assert weekly_sets({lift: 1})[muscle] == sets


@pytest.mark.parametrize(
    ("lift", "muscle"),
    [("lying_leg_curl", "quads"), ("dumbbell_curl", "lats"), ("leg_press", "lower_back")],
)
def test_no_set_where_no_joint_moves(lift: str, muscle: str) -> None:
    assert muscle not in weekly_sets({lift: 1})


def test_prior_centre_is_the_middle_of_the_published_range() -> None:
    """12 to 20 weekly sets, Baz-Valle et al. J Hum Kinet 2022;81:199-210: read."""
    prior = load_priors().filter(muscle_id="any").to_dicts()[0]
    assert prior["centre_sets"] == (12 + 20) / 2
    assert prior["spread_sets"] == (20 - 12) / 2
    assert prior["trend_sets_per_year"] == 0


def test_only_muscles_with_a_source_differ_from_the_default() -> None:
    """Triceps alone did better above 20 sets in Baz-Valle et al. 2022 (p 0.01): read."""
    rows = {row["muscle_id"]: row for row in load_priors().to_dicts()}
    default = rows.pop("any")["centre_sets"]
    assert [name for name, row in rows.items() if row["centre_sets"] != default] == ["triceps"]
    silent = [row for row in rows.values() if row["source"].startswith("same as any")]
    assert len(silent) == 13
    assert {row["status"] for row in silent} == {"common practice"}


def test_curvature_follows_from_two_published_slopes() -> None:
    """+0.24 % a set at 12 sets (Pelland) and 9.8 % at 10 or more (Schoenfeld 2017): second-hand.

    With progress = growth x (1 - c((v - v*)/v*)^2), its slope over its height at v is
    2c(v* - v)/v*^2 / (1 - c((v - v*)/v*)^2); solved for c by bisection.
    """
    prior = load_priors().filter(muscle_id="any").to_dicts()[0]
    centre, v, wanted = prior["centre_sets"], 12.0, 0.24 / 9.8

    def relative_slope(c: float) -> float:
        height = 1 - c * ((v - centre) / centre) ** 2
        return 2 * c * (centre - v) / centre**2 / height

    low, high = 0.0, 2.0
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if relative_slope(middle) < wanted else (low, middle)
    assert low == pytest.approx(0.747, abs=5e-4)
    assert prior["curvature"] == pytest.approx(low, abs=0.01)


def test_computed_facts_follow_from_those_read() -> None:
    """Each by its stated formula: computed."""
    value = dict(load_facts().select("fact_id", "value").iter_rows())
    noise = value["retest_cv"]
    assert value["smallest_change_two_tests"] == round(1.96 * math.sqrt(2) * noise, 1)
    gain = (value["competition_gain_year_10"] - value["competition_gain_year_1"]) / 9
    assert value["gain_after_year_1"] == round(gain, 1)
    assert value["log_growth_year_6"] == pytest.approx(100 * math.log(312) / math.log(52), abs=0.05)
    for years, name in ((1, "1_year"), (2, "2_years"), (5, "5_years")):
        n = 52 * years
        spread = math.sqrt(sum((week - (n - 1) / 2) ** 2 for week in range(n))) / 52
        assert value[f"slope_error_{name}"] == pytest.approx(noise / spread, rel=0.03)


def test_facts_that_pages_lean_on() -> None:
    """Bell et al. preprint 2023 (read); Lee et al. 2025 (read); layoff losses (memory)."""
    facts = {row["fact_id"]: row for row in load_facts().to_dicts()}
    deload = facts["deload_every"]
    assert (deload["value"], deload["low"], deload["high"]) == (5.8, 2.4, 9.2)
    assert facts["deload_days"]["value"] == 6.4
    assert facts["device_sleep_error"]["value"] == -16.9
    loss = facts["layoff_loss_8_to_12_weeks"]
    assert (loss["low"], loss["high"], loss["status"]) == (-10, -5, "memory")
    assert all(row["low"] <= row["value"] <= row["high"] for row in facts.values() if row["low"])
