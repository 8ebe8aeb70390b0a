"""Ids that stay the same from night to night."""

import hashlib
from datetime import date


def event_id_of(lifter_id: str, kind: str, start: date, subject: str | None) -> str:
    """Id of an event: the same every night, whoever found it. ``subject``: ids, space separated."""
    text = "|".join((lifter_id, kind, start.isoformat(), subject or ""))
    return hashlib.sha256(text.encode()).hexdigest()[:12]
