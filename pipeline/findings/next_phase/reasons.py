"""Why each line of a proposal stands there, in at most 44 characters."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from pipeline.core.finding import Finding
from pipeline.findings.next_phase.curves import range_of
from pipeline.findings.next_phase.problem import Situation
from pipeline.findings.next_phase.wishes import SOME_INJURY
from pipeline.findings.volume import NO_BETTER
from pipeline.models.planning.inputs import PlanLift, PlanMuscle

BUILD, TEST, EASE, HOLD = "build", "test", "ease", "hold"
STAYS, NEW, MORE, FEWER, OUT = "stays", "new", "more", "fewer", "out"
# Less than this is no change: weekly sets of now are a mean of weeks, those proposed are whole.
SAME_SETS = 1.0
PUBLISHED = "published average only"
NO_SUPPORT = "not enough"
# Of a muscle, whose sets may still fall by less than one; of a lift, whose sets do not move.
HELD_FOR = "not raised: {hurt} in your journal"
KEPT_FOR = "kept as it is: {hurt} in your journal"
UNDER, MORE_EXPECTED = "under its supported range", "more sets expect more progress"
# The same where some of the muscle's own lifts load an open injury, so that others bring the sets.
UNDER_SPARED = "under its supported range; {hurt} spared"
MORE_SPARED = "more progress expected; {hurt} spared"
# Where none of its own lifts changes: what it gets or loses comes with the lifts of others, or from
# weekly sets of now, a mean of weeks, made whole.
ALONG, ROUNDED = "comes with lifts for other muscles", "its lifts as now, in whole sets"
# What a week pays for falling short of (``PlanMuscle.reference``); it draws muscles towards itself.
NEARER = "nearer its share of sets as published"
ELSEWHERE, SERVED = "sets expect more progress elsewhere", "other lifts serve the same muscles"


@dataclass(frozen=True)
class Reason:
    """A line's role or status, its reason, and the finding behind it with that one's support."""

    role: str
    because: str
    finding_id: str | None
    support: str


@dataclass(frozen=True)
class Known:
    """The lifter's findings that a proposal rests on, by muscle."""

    supported: Mapping[str, Finding]
    held: Mapping[str, Finding]

    def count_no_better(self, muscles: Collection[str]) -> int:
        """For how many of these the finding itself says that its range is no better than the
        published average."""
        own = (one for muscle, one in self.supported.items() if muscle in muscles)
        return sum(NO_BETTER in one.sentence for one in own)


def known_findings(findings: tuple[Finding, ...]) -> Known:
    """Answered findings of weekly sets: the range of now, and the least that held."""
    answered = [one for one in findings if one.estimate is not None]
    return Known(
        {
            _muscle(one): one
            for one in answered
            if one.question == "supported_sets" and one.window == "now"
        },
        {_muscle(one): one for one in answered if one.question == "hold_sets"},
    )


def _muscle(finding: Finding) -> str:
    return finding.subject.partition(":")[2]


def explain_muscle(
    situation: Situation,
    known: Known,
    muscle: PlanMuscle,
    then: float,
    tested: str | None,
    *,
    steps: Sequence[float],
    is_full: bool,
) -> Reason:
    """Role and reason of a muscle's weekly sets, those of now and ``then``.

    steps : by how many weekly sets each of its direct lifts changes.
    is_full : the week holds no set more, so that what one muscle gets another one lacks.
    """
    muscle_id, now = muscle.muscle_id, muscle.now
    role = _role(muscle_id, now, then, tested)
    if role == TEST:
        because = "the sets that would tell most"
    elif muscle_id in situation.wishes.hold:
        role, because = HOLD, "only held, at your wish"
    elif role == HOLD and (hurt := _hurt_by(situation, muscle_id)):
        because = HELD_FOR.format(hurt=hurt)
    elif muscle_id in situation.wishes.priorities:
        because = "a priority of yours"
    elif muscle_id in situation.published:
        because = PUBLISHED
    else:
        because = _say_along(muscle, then, role, steps) or _compare(
            situation, muscle, then, role, is_full=is_full
        )
    finding = known.held.get(muscle_id) if muscle_id in situation.wishes.hold else None
    finding = finding or known.supported.get(muscle_id)
    support = NO_SUPPORT if finding is None else finding.support
    return Reason(role, because, None if finding is None else finding.finding_id, support)


def _hurt_by(situation: Situation, muscle_id: str) -> str:
    """What is hurt where an open injury keeps its sets from rising, by the journal or through all
    of its lifts; else nothing."""
    own = _direct_lifts(situation, muscle_id)
    careful = _careful(situation, own)
    if own and careful == own:
        return _region(situation, careful)
    return situation.wishes.spared.get(muscle_id, "")


def _direct_lifts(situation: Situation, muscle_id: str) -> list[PlanLift]:
    """The lifts that train a muscle directly."""
    return [one for one in situation.problem.lifts if one.shares.get(muscle_id) == 1.0]


def _careful(situation: Situation, lifts: list[PlanLift]) -> list[PlanLift]:
    """Those lifts that load an open injury."""
    return [one for one in lifts if one.exercise_id in situation.wishes.careful]


def _region(situation: Situation, careful: list[PlanLift]) -> str:
    """The one region that these lifts load, or an injury where they load several."""
    hurt = {situation.wishes.loading[one.exercise_id] for one in careful}
    return hurt.pop() if len(hurt) == 1 else SOME_INJURY


def _role(muscle_id: str, now: float, then: float, tested: str | None) -> str:
    if muscle_id == tested:
        return TEST
    if abs(then - now) < SAME_SETS:
        return HOLD
    return BUILD if then > now else EASE


def _say_along(muscle: PlanMuscle, then: float, role: str, steps: Sequence[float]) -> str:
    """Why sets change though none of the muscle's own lifts does; nothing where one does."""
    change = then - muscle.now
    way = 1.0 if change > 0 else -1.0
    if role not in (BUILD, EASE) or any(way * step >= SAME_SETS for step in steps):
        return ""
    return ROUNDED if way * sum(steps) >= abs(change) / 2 else ALONG


def _compare(
    situation: Situation, muscle: PlanMuscle, then: float, role: str, *, is_full: bool
) -> str:
    low, high = range_of(situation.values[muscle.muscle_id], situation.age)
    now = muscle.now
    if role == BUILD:
        own = [one for one in _direct_lifts(situation, muscle.muscle_id) if one.is_used]
        careful = _careful(situation, own)
        if not careful:
            return UNDER if now < low else MORE_EXPECTED
        spared = UNDER_SPARED if now < low else MORE_SPARED
        return spared.format(hurt=_region(situation, careful))
    if role == EASE:
        if now > high:
            return "past its supported range"
        return NEARER if not is_full and _comes_nearer(muscle, then) else ELSEWHERE
    is_inside = low <= now <= high
    return "inside its supported range" if is_inside else "no change is likely enough to gain"


def _comes_nearer(muscle: PlanMuscle, then: float) -> bool:
    reference = muscle.reference
    return reference is not None and abs(then - reference) < abs(muscle.now - reference)


def explain_lift(
    situation: Situation, exercise_id: str, now: float, then: float, muscles_move: float | None
) -> tuple[str, str]:
    """Status and reason of a lift's weekly sets, ``now`` (0: not in the programme) and ``then``.

    muscles_move : weekly sets by which a muscle that it trains directly moves the lift's own way,
        of the one that moves furthest; 0 where none does, None where it trains no muscle of the
        plan directly.
    """
    out = situation.wishes.out.get(exercise_id)
    if out is not None:
        return OUT, out
    is_served = muscles_move is not None and muscles_move < SAME_SETS
    if then == 0:
        return OUT, SERVED if is_served else f"its {ELSEWHERE}"
    if now == 0:
        is_wanted = exercise_id in situation.wishes.keep
        return NEW, "kept at your wish" if is_wanted else "serves what the others leave short"
    if abs(then - now) < SAME_SETS:
        wishes = situation.wishes
        if exercise_id in wishes.careful:
            return STAYS, KEPT_FOR.format(hurt=wishes.loading[exercise_id])
        return STAYS, "in the programme now"
    if is_served:
        return (MORE, "stands in for lifts with fewer sets") if then > now else (FEWER, SERVED)
    return (MORE, "more for what it trains") if then > now else (FEWER, "less for what it trains")
