"""The reason of each line of a proposal, branch by branch; all numbers made by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from dashboards import words
from dashboards.told import is_left, told_plain
from pipeline.core.page_style import PageStyle
from pipeline.findings.next_phase.curves import range_of
from pipeline.findings.next_phase.reasons import Known, explain_lift, explain_muscle
from pipeline.findings.next_phase.tables import _is_full
from pipeline.findings.volume_record import prior_of
from pipeline.models.planning.inputs import PlanLift, PlanLimits, PlanMuscle, WeekProblem
from pipeline.models.planning.programme import WeekProgramme
from pipeline.models.volume.response_curve import N_VALUES
from tests.simulated_record import any_prior

AGE = 10.0
VALUES = prior_of(any_prior(), "biceps").values(np.zeros((1, N_VALUES)))
LOW, HIGH = range_of(VALUES, AGE)
NEARER = "nearer its share of sets as published"
ELSEWHERE = "sets expect more progress elsewhere"
SERVED = "other lifts serve the same muscles"


def muscle(now: float, reference: float | None) -> PlanMuscle:
    none = np.zeros(0)
    return PlanMuscle("biceps", none, none, now, 0.0, 60.0, reference=reference)


def situation(*lifts: PlanLift) -> SimpleNamespace:
    wishes = SimpleNamespace(hold=(), spared={}, priorities=(), careful=(), keep=(), out={})
    return SimpleNamespace(
        wishes=wishes,
        problem=SimpleNamespace(lifts=lifts),
        published=(),
        values={"biceps": VALUES},
        age=AGE,
    )


def reason_of(one: PlanMuscle, then: float, *, is_full: bool) -> str:
    steps = (then - one.now,)
    return explain_muscle(
        situation(), Known({}, {}), one, then, None, steps=steps, is_full=is_full
    ).because


@pytest.mark.parametrize(
    ("now", "then", "reference", "is_full", "says"),
    [
        (LOW + 3, LOW + 1, LOW, False, NEARER),
        (LOW - 1, LOW - 3, LOW - 4, False, NEARER),  # under the range too
        (LOW + 3, LOW + 1, LOW, True, ELSEWHERE),
        (LOW + 3, LOW + 1, LOW + 4, False, ELSEWHERE),  # away from it
        (LOW + 3, LOW + 1, LOW + 2, False, ELSEWHERE),  # past it, as far as before
        (LOW + 3, LOW + 1, None, False, ELSEWHERE),
        (HIGH + 1, LOW, LOW, False, "past its supported range"),
        (LOW - 2, LOW, LOW, False, "under its supported range"),
        (LOW + 1, LOW + 3, LOW + 4, False, "more sets expect more progress"),
        (LOW + 1, LOW + 1, LOW, False, "inside its supported range"),
        (LOW - 1, LOW - 1, LOW, False, "no change is likely enough to gain"),
    ],
)
def test_fewer_sets_say_what_draws_them_down(
    now: float, then: float, reference: float | None, is_full: bool, says: str
) -> None:
    assert reason_of(muscle(now, reference), then, is_full=is_full) == says
    assert len(says) <= 44


@pytest.mark.parametrize(
    ("change", "steps", "says"),
    [
        (2.8, (0.0, 0.3), "comes with lifts for other muscles"),
        (-1.4, (-0.4, -0.6, -0.4), "its lifts as now, in whole sets"),
        (1.2, (0.6, 0.5), "its lifts as now, in whole sets"),
        (-1.4, (0.9, -0.2), "comes with lifts for other muscles"),
        (2.8, (), "comes with lifts for other muscles"),
        (2.8, (1.0, 0.0), "under its supported range"),
        (-1.4, (1.0, -1.0), ELSEWHERE),
    ],
)
def test_a_change_that_no_lift_of_its_own_makes_says_where_it_comes_from(
    change: float, steps: tuple[float, ...], says: str
) -> None:
    one = muscle(LOW - 1, None)
    why = explain_muscle(
        situation(), Known({}, {}), one, one.now + change, None, steps=steps, is_full=True
    )
    assert why.because == says
    assert len(says) <= 44
    with words.written(PageStyle("de")):
        assert not is_left(says)


@pytest.mark.parametrize(
    ("now", "then", "muscles_move", "says"),
    [
        (3.0, 0.0, 0.0, ("out", SERVED)),
        (3.0, 0.0, 0.9, ("out", SERVED)),
        (3.0, 0.0, 1.0, ("out", f"its {ELSEWHERE}")),
        (3.0, 0.0, None, ("out", f"its {ELSEWHERE}")),  # nothing else can serve its muscles
        (5.0, 3.0, 0.9, ("fewer", SERVED)),
        (5.0, 3.0, 1.0, ("fewer", "less for what it trains")),
        (3.0, 5.0, 0.9, ("more", "stands in for lifts with fewer sets")),
        (3.0, 5.0, 1.0, ("more", "more for what it trains")),
    ],
)
def test_a_lift_without_which_its_muscles_hold_is_served_by_others(
    now: float, then: float, muscles_move: float | None, says: tuple[str, str]
) -> None:
    assert explain_lift(situation(), "curl", now, then, muscles_move) == says


@pytest.mark.parametrize(
    ("limits", "is_full"),
    [
        (PlanLimits(2, 7.0, 12.0), False),
        (PlanLimits(2, 6.5, 12.0), True),  # six and one more are too many
        (PlanLimits(2, 7.0, 11.0), True),  # three minutes a set, nine in each session
        (PlanLimits(2, 6.0, 11.0), True),
    ],
)
def test_a_week_is_full_where_no_set_more_fits(limits: PlanLimits, is_full: bool) -> None:
    lifts = (PlanLift("curl", {"biceps": 1.0}, 3.0, 3.0), PlanLift("row", {}, 3.0, 3.0))
    sets = np.array([[3, 0], [0, 3]])
    week = WeekProgramme(sets, {}, {}, 0.0)
    assert _is_full(WeekProblem((), lifts, limits), week) == is_full


def test_what_draws_sets_down_is_told_in_german() -> None:
    with words.written(PageStyle("de")):
        assert [one for one in (NEARER, ELSEWHERE, SERVED) if is_left(one)] == []


@pytest.mark.parametrize(
    ("regions", "says"), [(("elbow", "elbow"), "elbow"), (("elbow", "shoulder"), "injury")]
)
def test_a_muscle_names_the_region_only_where_one_keeps_all_of_its_lifts(regions, says):
    loading = dict(zip(("curl", "row"), regions, strict=True))
    caps = {"careful": loading.keys(), "loading": loading, "spared": {}}
    wishes = SimpleNamespace(hold=(), priorities=(), **caps)
    lifts = tuple(PlanLift(lift, {"biceps": 1.0}, 3.0, 4.0) for lift in loading)
    kept = SimpleNamespace(wishes=wishes, problem=SimpleNamespace(lifts=lifts), published=())
    why = explain_muscle(kept, Known({}, {}), muscle(8.0, None), 8.5, None, steps=(), is_full=True)
    assert why.because == f"not raised: {says} in your journal"
    with words.written(PageStyle("de")):
        assert not is_left(why.because)
        assert says not in told_plain(why.because)


@pytest.mark.parametrize(
    ("now", "says"),
    [
        (LOW - 2, "under its supported range; lower back spared"),
        (LOW + 1, "more progress expected; lower back spared"),
    ],
)
def test_a_muscle_raised_beside_an_injury_says_that_it_is_spared(now: float, says: str) -> None:
    lifts = tuple(PlanLift(lift, {"biceps": 1.0}, 3.0, 4.0) for lift in ("curl", "row"))
    hurt = situation(*lifts)
    hurt.wishes.careful, hurt.wishes.loading = ("row",), {"row": "lower back"}
    raised = muscle(now, None), now + 2, None
    why = explain_muscle(hurt, Known({}, {}), *raised, steps=(2.0,), is_full=True)
    assert why.because == says
    assert len(says) <= 44
    with words.written(PageStyle("de")):
        assert not is_left(says)
    # a lift that is not in the programme spares nothing
    hurt.problem.lifts = (lifts[0], PlanLift("row", {"biceps": 1.0}, 3.0, 0.0))
    why = explain_muscle(hurt, Known({}, {}), *raised, steps=(2.0,), is_full=True)
    assert "spared" not in why.because
