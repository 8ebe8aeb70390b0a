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
from .traits import MUSCLE_SD_SETS, POPULATION_BEST_SETS, SHIFT_SD_SETS

__all__ = [
    "DELOAD_KINDS",
    "EVENT_KINDS",
    "MUSCLES",
    "MUSCLE_SD_SETS",
    "POPULATION_BEST_SETS",
    "SHIFT_SD_SETS",
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
