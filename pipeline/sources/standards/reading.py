"""What one document says: a reading, or the reason why there is none."""

from dataclasses import dataclass, replace

from pipeline.sources.standards.times import Span, hours_of, is_reversed

# Reasons, the same for all documents with this fault.
BROKEN = "broken document"
UNSUPPORTED = "unsupported schema"
NO_VALUE = "no value"
NO_SIGNAL = "not one of the signals"
NO_DAY = "no date"
NOT_A_DAY = "longer than a day"
# Columns of the raw table, in this order; all text.
COLUMNS = ("schema", "signal", "value", "unit", "from", "to", "device", "fault", "why", "document")
# Characters kept of a document without a value, and the documents of a file of which they are.
MOST_OF_DOCUMENT, MOST_DOCUMENTS = 2000, 1000
# A value over more hours is no day's or night's: an average of a week, a sum of a month.
LONGEST_HOURS = 36.0


@dataclass(frozen=True)
class Reading:
    """One value as written, or a fault.

    Parameters
    ----------
    place : of the value below its document, such as ``component[1]``.
    schema : name of what it follows: ``omh:body-weight:2.0``, ``LOINC 29463-7``.
    signal : as in ``tidy_signal``, or ``RR_INTERVAL``; None with a fault.
    value, unit : as written.
    start, end : the time it is true for, each a moment with offset or a day.
    fault, why : the reason why it gives no value, and what to do about it.
    """

    place: str = ""
    schema: str | None = None
    signal: str | None = None
    value: str | None = None
    unit: str | None = None
    start: str | None = None
    end: str | None = None
    device: str | None = None
    fault: str | None = None
    why: str | None = None

    def with_fault(self, fault: str, why: str) -> "Reading":
        """The same without its value, and why."""
        return replace(self, signal=None, fault=fault, why=why)


def add_span(found: Reading, span: Span) -> Reading:
    """The reading with the time it is true for, or the fault that lies in it."""
    if span.start is None and span.end is None:
        told = "the day is not given; a value without its day is not read"
        return found.with_fault(NO_DAY, told)
    if is_reversed(span):
        told = f"it ends ({span.end}) before it starts ({span.start})"
        return found.with_fault(BROKEN, f"{told}; export it again")
    hours = hours_of(span)
    if hours is not None and hours > LONGEST_HOURS:
        told = f"it covers {hours:g} hours, {LONGEST_HOURS:g} at most are a day's or a night's"
        return found.with_fault(NOT_A_DAY, told)
    return replace(found, start=span.start, end=span.end)
