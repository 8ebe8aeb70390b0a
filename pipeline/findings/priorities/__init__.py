"""Priority phases: what each bought its muscles and cost the others; share of sets and progress."""

from pipeline.findings.priorities.answer import PriorityAnswers, answer_priorities
from pipeline.findings.priorities.propose import propose_phases

__all__ = ["PriorityAnswers", "answer_priorities", "propose_phases"]
