"""Careers with known truth, for the demo and for the recovery tests."""

from .career import simulate_career
from .options import (
    DELOAD_KINDS,
    TRENDS,
    CareerOptions,
    CareerScript,
    ScriptedInjury,
    ScriptedPhase,
    ScriptedSpan,
)
from .records import (
    EVENT_KINDS,
    MUSCLES,
    WEEK_STATUSES,
    Career,
    SimEvent,
    SimExercise,
    SimGirth,
    SimNights,
    SimSets,
    Truth,
)

__all__ = [
    "DELOAD_KINDS",
    "EVENT_KINDS",
    "MUSCLES",
    "TRENDS",
    "WEEK_STATUSES",
    "Career",
    "CareerOptions",
    "CareerScript",
    "ScriptedInjury",
    "ScriptedPhase",
    "ScriptedSpan",
    "SimEvent",
    "SimExercise",
    "SimGirth",
    "SimNights",
    "SimSets",
    "Truth",
    "simulate_career",
]
