"""Marts and models to findings: one row a question, an answer with its interval or a refusal."""

from pipeline.findings.answer import (
    LifterAnswers,
    answer_indexes,
    answer_questions,
    finding_frame,
)
from pipeline.findings.arrays import Record
from pipeline.findings.events import find_events
from pipeline.findings.forecast import answer_forecasts
from pipeline.findings.group import answer_group
from pipeline.findings.growth import compare_with_law
from pipeline.findings.lifts import LiftAnswers, answer_lifts, estimate_reserve
from pipeline.findings.priorities import propose_phases
from pipeline.findings.stability import check_lifter, drop_outdated, settle_findings
from pipeline.findings.volume_others import summarise_lifter

__all__ = [
    "LiftAnswers",
    "LifterAnswers",
    "Record",
    "answer_forecasts",
    "answer_group",
    "answer_indexes",
    "answer_lifts",
    "answer_questions",
    "check_lifter",
    "compare_with_law",
    "drop_outdated",
    "estimate_reserve",
    "find_events",
    "finding_frame",
    "propose_phases",
    "settle_findings",
    "summarise_lifter",
]
