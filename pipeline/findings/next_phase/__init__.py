"""The next phase: a week to train by, for most expected progress or for most to learn."""

from pipeline.findings.next_phase.answer import VolumeRead, answer_next_phase
from pipeline.findings.next_phase.settle import settle_proposals

__all__ = ["VolumeRead", "answer_next_phase", "settle_proposals"]
