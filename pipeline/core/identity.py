"""Ids that stay the same from night to night."""

import hashlib
from datetime import date


def event_id_of(lifter_id: str, kind: str, start: date, subject: str | None) -> str:
    """Id of an event: the same every night, whoever found it. ``subject``: ids, space separated."""
    return hash_of(lifter_id, kind, start.isoformat(), subject or "")


def hash_of(*parts: str) -> str:
    """Twelve hexadecimal digits that stand for these texts in this order."""
    return hashlib.sha256("|".join(parts).encode()).hexdigest()[:12]
