"""Building finding rows: what all questions share."""

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.support import REFUSED, Support

MODEL_VERSION = "2.0"


def find_refused(
    refusal: Refusal,
    *,
    lifter_id: str,
    question: str,
    subject: str,
    unit: str,
    method: str,
    **others: object,
) -> Finding:
    """The row of a question that the record cannot answer yet; its sentence is the reason."""
    return Finding(
        lifter_id=lifter_id,
        question=question,
        subject=subject,
        unit=unit,
        n=int(refusal.has),
        n_of=refusal.of_what,
        support=REFUSED,
        support_why=refusal.why,
        needs=refusal.remedy,
        needed=None if refusal.is_most or refusal.needs <= 0 else refusal.needs,
        counted=refusal.counted,
        method=method,
        model_version=MODEL_VERSION,
        sentence=refusal.sentence(),
        **others,  # type: ignore[arg-type]
    )


def find_answered(support: Support, **fields: object) -> Finding:
    """The row of a question that was answered."""
    return Finding(
        support=support.word,
        support_why=support.why,
        model_version=MODEL_VERSION,
        **fields,  # type: ignore[arg-type]
    )
