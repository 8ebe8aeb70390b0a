"""One check of one finding: what was done, what came out, whether the finding reads otherwise."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

Row = dict[str, Any]
KEPT = ("lifter_id", "finding_id", "question", "subject", "window", "age_from")
ANSWER = ("estimate", "low", "high")
SEED = 20_141_103  # of every draw; the same record gives the same checks
# Of fake dates or moved nights so many may show as much (the usual level of a test); of shuffled
# weeks so many may find something, since a 90 % interval leaves the truth out as often.
PLACEBO_SHARE, SHUFFLE_SHARE = 0.05, 0.10
BULK = (5.0, 95.0)  # percentiles that are told of a placebo


@dataclass(frozen=True)
class Check:
    """One row of table ``model_check``, without its day; the dictionary says what each means."""

    finding: Row
    check_name: str
    detail: str
    estimate: float
    low: float
    high: float
    is_flipped: bool

    def as_row(self) -> Row:
        """The row, with what names its finding."""
        named = {name: self.finding[name] for name in KEPT}
        checked = {f"finding_{name}": self.finding[name] for name in ANSWER}
        return {
            **named,
            **checked,
            "check_name": self.check_name,
            "detail": self.detail,
            "estimate": self.estimate,
            "low": self.low,
            "high": self.high,
            "is_flipped": self.is_flipped,
        }


def check_choice(
    finding: Row, check_name: str, detail: str, found: tuple[float, float, float]
) -> Check:
    """Another choice gave ``found`` (estimate, low, high): does the finding read otherwise?"""
    return Check(finding, check_name, detail, *found, reads_otherwise(finding, found[0]))


def check_shuffles(
    finding: Row, check_name: str, what: str, shuffled: list[tuple[float, float, float]]
) -> Check | None:
    """``shuffled`` records gave these (estimate, low, high): do too many of them find anything?

    A shuffle finds something when its interval leaves the reference out. One in ten may, as a 90 %
    interval allows; None when no shuffle could be read.
    """
    known = np.array([one for one in shuffled if np.isfinite(one[0])])
    if not known.size:
        return None
    reference = reference_of(finding)
    n_found = int(np.sum((known[:, 1] > reference) | (known[:, 2] < reference)))
    low, high = np.percentile(known[:, 0], BULK)
    detail = f"{n_found} of {len(known)} {what} show something"
    values = (float(np.median(known[:, 0])), float(low), float(high))
    return Check(finding, check_name, detail, *values, n_found > SHUFFLE_SHARE * len(known))


def reference_of(finding: Row) -> float:
    """What the finding is held against: the published average of weekly sets, else zero."""
    if finding["question"] == "supported_sets":
        return float(finding["prior_estimate"])
    return 0.0


def is_sided(finding: Row) -> bool:
    """The interval leaves the reference out: the finding says on which side of it the truth is."""
    reference = reference_of(finding)
    is_above = finding["low"] is not None and finding["low"] > reference
    return is_above or (finding["high"] is not None and finding["high"] < reference)


def reads_otherwise(finding: Row, estimate: float) -> bool:
    """For a finding that takes a side: the estimate lies on the other one. For one that takes
    none: it lies outside the finding's interval."""
    if is_sided(finding):
        reference = reference_of(finding)
        return (estimate - reference) * (finding["estimate"] - reference) <= 0
    low = -math.inf if finding["low"] is None else finding["low"]
    high = math.inf if finding["high"] is None else finding["high"]
    return not low <= estimate <= high


def still_reads(finding: Row, check: Row) -> bool:
    """The finding still reads as it did when ``check`` (a row of ``model_check``) was made.

    Its estimate lies inside the interval of then and on the same side of what it is held against,
    and it takes no side that it did not take then: that was never put to the test.
    """
    if finding["estimate"] is None or check["finding_estimate"] is None:
        return False
    then = {**finding, **{name: check[f"finding_{name}"] for name in ANSWER}}
    if is_sided(finding) and not is_sided(then):
        return False
    reference = reference_of(finding)
    sides = np.sign([finding["estimate"] - reference, then["estimate"] - reference])
    low = -math.inf if then["low"] is None else then["low"]
    high = math.inf if then["high"] is None else then["high"]
    return bool(sides[0] == sides[1] and low <= finding["estimate"] <= high)
