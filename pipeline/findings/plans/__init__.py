"""Accepted plans: as events, as expectations, and against the record."""

from pipeline.findings.plans.accepted import Accepted, accept_proposal
from pipeline.findings.plans.followed import answer_plans
from pipeline.findings.plans.progress import follow_plans

__all__ = ["Accepted", "accept_proposal", "answer_plans", "follow_plans"]
