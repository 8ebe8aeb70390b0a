"""The simulator's options and scripts: followed as told, refused with limit and remedy."""

from datetime import date

import numpy as np
import pytest

from pipeline.models.simulate import (
    MUSCLES,
    CareerOptions,
    CareerScript,
    ScriptedInjury,
    ScriptedPhase,
    simulate_career,
)


def test_script_is_followed():
    script = CareerScript(
        start=date(2013, 4, 3),
        exercises=("back_squat", "leg_press", "hip_thrust", "bench_press", "barbell_row",
                   "seated_leg_curl", "standing_calf_raise", "seated_calf_raise"),
        usual=("back_squat", "bench_press"),
        first_used=(("leg_press", date(2016, 3, 7)), ("hip_thrust", date(2016, 3, 7))),
        phases=(ScriptedPhase("priority", date(2015, 2, 2), date(2015, 5, 3), ("calves",), 2.0),),
        injuries=(
            ScriptedInjury(date(2016, 3, 7), date(2016, 8, 7), "knee", ("back_squat",),
                           ("leg_press", "hip_thrust"), "knee complaint"),
        ),
        layoffs=(),
        gym_changes=(date(2017, 1, 2),),
        device_changes=(date(2018, 1, 1),),
        nights_from=date(2016, 1, 4),
        girth_sites=("thigh",),
        body_weight_kg=88.0,
    )  # fmt: skip
    career = simulate_career(1, CareerOptions(years=8, sessions_per_week=4, script=script))
    names = [lift.exercise_id for lift in career.exercises]
    assert career.start == date(2013, 4, 1)
    assert names == list(script.exercises)
    kinds = [event.kind for event in career.events if event.kind != "deload"]
    assert kinds == ["priority", "injury", "gym_change", "device_change"]
    hurt = next(event for event in career.events if event.kind == "injury")
    during = (career.sets.day >= hurt.start_day) & (career.sets.day <= hurt.end_day)
    done = {names[row] for row in np.unique(career.sets.exercise[during])}
    assert {"leg_press", "hip_thrust"} <= done
    assert "back_squat" not in done
    before = {names[row] for row in career.sets.exercise[career.sets.day < hurt.start_day]}
    assert "back_squat" in before
    assert not {"leg_press", "hip_thrust"} & before
    assert set(np.unique(career.sets.gym)) == {0, 1}
    assert career.nights.day.min() >= (date(2016, 1, 4) - career.start).days
    assert set(np.unique(career.nights.device)) == {0, 1}
    priority = next(event for event in career.events if event.kind == "priority")
    calves = career.truth.weekly_sets[MUSCLES.index("calves")]
    first, last = priority.start_day // 7, priority.end_day // 7
    assert calves[first : last + 1].mean() > 1.3 * np.median(calves)
    assert [girth.site for girth in career.girths] == ["thigh"]
    assert len(career.girths[0].day) > 60


def test_undeclared_gym_changes_stay_in_the_truth():
    career = simulate_career(3, CareerOptions(n_gym_changes=2, are_gym_changes_declared=False))
    changes = [event for event in career.events if event.kind == "gym_change"]
    assert len(changes) == 2
    assert not any(event.is_declared for event in changes)
    assert set(np.unique(career.sets.gym)) == {0, 1, 2}


@pytest.mark.parametrize("years", [0.5, 2, 20])
def test_short_and_long_careers_work(years):
    for seed in range(5):
        career = simulate_career(seed, CareerOptions(years=years))
        assert abs(career.n_weeks - years * 52.18) < 2
        assert len(career.sets.week) > 200 * years


@pytest.mark.parametrize(
    ("options", "named"),
    [
        ({"years": 0.1}, "years is 0.1"),
        ({"sessions_per_week": 9}, "sessions_per_week is 9"),
        ({"deload_kind": "never"}, "'never'"),
        ({"tolerance_trend": "up"}, "rising, flat, falling"),
    ],
)
def test_impossible_options_are_refused_with_limit_and_remedy(options, named):
    with pytest.raises(ValueError, match=named):
        CareerOptions(**options)


def test_a_script_outside_its_career_is_refused():
    script = CareerScript(start=date(2015, 1, 5), gym_changes=(date(2030, 1, 7),))
    with pytest.raises(ValueError, match="outside the career"):
        simulate_career(1, CareerOptions(years=2, script=script))


def test_an_unknown_lift_in_a_script_is_refused():
    script = CareerScript(start=date(2015, 1, 5), exercises=("one_arm_anvil_toss",))
    with pytest.raises(ValueError, match="one_arm_anvil_toss"):
        simulate_career(1, CareerOptions(years=2, script=script))
