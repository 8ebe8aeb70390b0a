"""A finding: one question, one subject, one answer or one refusal. The row of table ``finding``."""

import hashlib
from dataclasses import asdict, dataclass
from datetime import date

from pipeline.core.errors import Counted


@dataclass(frozen=True)
class Finding:
    """One row of table ``finding``; the dictionary says what each field means.

    A refusal has support "not enough", a null estimate and its reason as the sentence.
    """

    lifter_id: str | None
    question: str
    subject: str
    unit: str
    n: int
    n_of: str
    support: str
    support_why: str
    method: str
    model_version: str
    sentence: str
    estimate: float | None = None
    low: float | None = None
    high: float | None = None
    range_low: float | None = None
    range_high: float | None = None
    edge_low: float | None = None
    edge_high: float | None = None
    coverage: float | None = None
    age_from: float | None = None
    age_to: float | None = None
    from_date: date | None = None
    to_date: date | None = None
    evidence: str = "none"
    prior_estimate: float | None = None
    prior_low: float | None = None
    prior_high: float | None = None
    group_estimate: float | None = None
    group_low: float | None = None
    group_high: float | None = None
    group_n: int | None = None
    needs: str | None = None
    needed: float | None = None
    counted: Counted | None = None
    event_id: str | None = None
    window: str = "all"
    checked_on: date | None = None

    @property
    def finding_id(self) -> str:
        """Hash of lifter, question, subject, age band, event and the name of the window.

        Dates stay out of it: they move from night to night while the question stays the same.
        So does the end of a band: that of the present one is the lifter's age today.
        """
        band = "" if self.age_from is None else f"{self.age_from:g}"
        parts = (
            self.lifter_id or "group",
            self.question,
            self.subject,
            band,
            self.event_id or "",
            self.window,
        )
        return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]

    def as_row(self) -> dict[str, object]:
        """The row of table ``finding``."""
        row = asdict(self)
        del row["event_id"]
        return {"finding_id": self.finding_id, **row}
