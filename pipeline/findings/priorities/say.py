"""Sentences about priority phases: stood, not raised; association, never cause."""

from collections.abc import Iterable, Mapping

from pipeline.core.calendar import say_date
from pipeline.core.counted import say_count
from pipeline.findings.priorities.phases import ToldPhase
from pipeline.findings.say import say_interval, say_number
from pipeline.models.priority.ledger import Estimate, MusclePhase, PhaseEffect

EITHER = " That may be either way."
# What would be 0.0 % in a sentence.
LEAST_SAID = 0.05


def say_gain(
    told: ToldPhase, effect: PhaseEffect, found: Estimate, names: Mapping[str, str]
) -> str:
    """What one phase bought its own muscles."""
    chosen = [one for one in effect.muscles if one.is_chosen]
    who = say_names(names.get(one.muscle, one.muscle) for one in chosen)
    return (
        f"{_span(told)}, {who} at {_say_sets(chosen)} ended "
        f"{_stood(found)} usual sets would have left them.{_doubt(found)}"
    )


def say_cost(
    told: ToldPhase, effect: PhaseEffect, found: Estimate, names: Mapping[str, str]
) -> str:
    """What it cost the others."""
    others = [one for one in effect.muscles if not one.is_chosen]
    chosen = [one for one in effect.muscles if one.is_chosen]
    who = say_names(names.get(one.muscle, one.muscle) for one in chosen)
    return (
        f"{_span(told)}, while {who} came first, the "
        f"{say_count(len(others), 'other muscles')} ended {_stood(found)} "
        f"usual sets would have left them.{_doubt(found)}"
    )


def say_all(question: str, found: Estimate, n: int, told: int) -> str:
    """The mean over all phases that could be read."""
    who = "the chosen muscles" if question == "priority_gain" else "the other muscles"
    return (
        f"Over {n} of {say_count(told, 'priority phases')} {who} ended on average "
        f"{_stood(found)} usual sets would have left them.{_doubt(found)}"
    )


def say_names(names: Iterable[str]) -> str:
    """calves, hamstrings and glutes."""
    listed = list(names)
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} and {listed[-1]}"


def _span(told: ToldPhase) -> str:
    return f"From {say_date(told.start)} to {say_date(told.end)}"


def _say_sets(chosen: list[MusclePhase]) -> str:
    usual = sum(one.usual_sets for one in chosen) / len(chosen)
    phase = sum(one.phase_sets for one in chosen) / len(chosen)
    each = "" if len(chosen) == 1 else " each"
    return f"{say_number(phase, 0)} weekly sets{each} in place of {say_number(usual, 0)}"


def _stood(found: Estimate) -> str:
    """How far from the usual, up to the word that leads on to it."""
    interval = say_interval(found.low, found.high)
    if abs(found.value) < LEAST_SAID:
        return f"within {LEAST_SAID:g} % {interval} of where"
    side = "higher" if found.value > 0 else "lower"
    return f"{say_number(abs(found.value))} % {side} {interval} than"


def _doubt(found: Estimate) -> str:
    return "" if found.called else EITHER
