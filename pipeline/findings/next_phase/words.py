"""What a proposal says of itself, in a sentence or two."""

from collections.abc import Mapping
from typing import Any

from pipeline.core.counted import as_counted, say_count
from pipeline.findings.next_phase.learn import Learning
from pipeline.findings.next_phase.problem import Situation
from pipeline.findings.next_phase.reasons import Known
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.models.narrowing.blocks import LEAST_NARROWING
from pipeline.models.narrowing.plans import WEEKS
from pipeline.models.planning.week import GAP

LEAST_PER_CENT = round(100 * LEAST_NARROWING)
PROPOSAL = "A proposal; the lifter decides."
# Measured on 45 simulated lifters (seeds not recorded): 5 % promised in the middle, none found; see
# DEVELOPERS.md on what a block promises. ``measure_planning`` measures it on every second seed.
UNPROVEN = "On simulated lifters such blocks narrowed by less than expected."
WISHES = {
    "weekly_sets": "more weekly sets than the limit",
    "minutes": "minutes a week more than the sessions hold",
    "session_muscle_sets": "sets of a muscle above its limit in a session",
    "balance": "weekly sets of pulling fewer than of pushing",
}


def say_conflict(
    situation: Situation, given_up: Mapping[str, float], names: Mapping[str, str]
) -> str | None:
    """Which wish to relax, and by how much; None where all are kept and all ids are known."""
    parts = [_say_wish(situation, wish, size, names) for wish, size in given_up.items()]
    text = ""
    if parts:
        text = f"Not all wishes can be kept together; the least to give up: {'; '.join(parts)}."
    unknown = situation.wishes.unknown
    if unknown:
        text = f"{text} Not known, so not heeded: {', '.join(unknown)}.".strip()
    return text or None


def _say_wish(situation: Situation, wish: str, size: float, names: Mapping[str, str]) -> str:
    kind, _, what = wish.partition(":")
    count = say_number(size, 0 if abs(size - round(size)) < 0.05 else 1)
    sets = as_counted(float(count), "weekly sets")
    if kind == "hold":
        return f"{names[what]} {count} {sets} under what holds it"
    if kind == "priority":
        return f"{names[what]}, a priority, {count} {sets} under those of now"
    if kind == "lift":
        return f"{situation.record.name_of(what).lower()} left out"
    return f"{count} {as_counted(float(count), WISHES[kind])}"


def say_progress(situation: Situation, known: Known, row: Mapping[str, Any]) -> str:
    """The proposal for progress: what it expects, beside last year and the published average."""
    n_muscles = len(situation.problem.muscles)
    muscles = say_count(n_muscles, "muscles")
    n_published = len(situation.published)
    rests = [_say_better(situation, known)] if n_published < n_muscles else []
    if n_published:
        rests.append(f"{n_published} of {muscles} rest on the published average only.")
    gap = ""
    if row["gap_share"] > GAP:
        gap = (
            f" The search ended on time: up to {say_number(100.0 * row['gap_share'], 0)} % more "
            "could be possible."
        )
    return (
        f"{row['weekly_sets']} weekly sets in {say_count(row['sessions'], 'sessions')} expect "
        f"{say_change(row['expected_pct'], 2)} % strength a month "
        f"{say_interval(row['low'], row['high'], 2)}, the mean of {muscles}; as in the "
        f"last year {say_change(row['usual_pct'], 2)} %, the published average cut to the same "
        f"sets {say_change(row['published_pct'], 2)} %. {' '.join(rests)}{gap} {PROPOSAL}"
    )


def _say_better(situation: Situation, known: Known) -> str:
    """The same count as the page Volume and progress gives, of the muscles of the week."""
    own = {one.muscle_id for one in situation.problem.muscles} - situation.published
    same = known.count_no_better(own)
    muscles = say_count(len(own), "muscles")
    if same == len(own):
        return f"In none of {muscles} does the record add anything to the published average."
    return f"In {same} of {muscles} the record adds nothing to the published average."


def say_learning(learnt: Learning, name: str) -> str:
    """What a block would tell, or that none would."""
    share = 100.0 * (1.0 - learnt.ratio)
    taken = f"{say_number(share, 0)} %" if share >= 1.0 else "less than 1 %"
    if learnt.is_blocked:
        return (
            f"A block for {name} would take {taken} off the interval of its best weekly sets, but "
            "none is possible within the limits: nothing is recommended."
        )
    if learnt.proposal is None:
        return (
            f"No block of {WEEKS} weeks would tell: the best, for {name}, takes {taken} off the "
            f"interval of its best weekly sets, {LEAST_PER_CENT} % would be needed. Nothing is "
            "recommended."
        )
    return (
        f"{WEEKS} weeks for {name} are expected to take {taken} off the interval of its best "
        f"weekly sets. {UNPROVEN} {PROPOSAL}"
    )
