"""Accepted plans: as weeks to train by, as events, as expectations, and against the record."""

from pipeline.findings.plans.accepted import Accepted, accept_proposal
from pipeline.findings.plans.progress import follow_plans
from pipeline.findings.plans.weeks import plan_weeks

__all__ = ["Accepted", "accept_proposal", "follow_plans", "plan_weeks"]
