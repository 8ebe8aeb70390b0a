"""Slope findings of a fitted lift or muscle: each training year, then, now, and plateaus."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import numpy as np

from pipeline.core.calendar import say_date
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_change, say_interval
from pipeline.findings.support import support_search, support_slope
from pipeline.models.strength.slopes import (
    FittedLevel,
    Slope,
    find_plateaus,
    fit_first_years,
    fit_last_years,
    fit_yearly_slopes,
    training_years,
)

METHOD = "state space, change between two weeks"
COVERAGE = 0.95


class SlopeAnswers:
    """Slope findings of one subject, in one place for lifts and muscles.

    Parameters
    ----------
    record : whose.
    question : lift_slope or muscle_slope.
    subject : lift:<id> or muscle:<id>.
    name : plain name for the sentence.
    thresholds : settings by name.
    """

    def __init__(
        self, record: Record, question: str, subject: str, name: str, thresholds: dict[str, float]
    ) -> None:
        self._record, self._question, self._subject = record, question, subject
        self._name, self._thresholds = name, thresholds

    def answer(self, fitted: FittedLevel) -> Iterator[Finding]:
        """Every slope finding of the fitted level."""
        record = self._record
        years = training_years(float(record.training_age[0]), record.n_weeks)
        seen = np.flatnonzero(fitted.is_trained)
        span = int(seen[-1] - seen[0]) + 1
        for window, slope in fit_yearly_slopes(fitted, years, COVERAGE):
            if window.week_to > seen[0] and window.week_from < seen[-1]:
                ages = {"age_from": window.age_from, "age_to": window.age_to}
                yield self._find(slope, "year", span, **ages)
        years_each = self._thresholds["slope_window_years"]
        last = fit_last_years(fitted, years_each, COVERAGE)
        first = fit_first_years(fitted, years_each, COVERAGE)
        yield self._find(self._enough(last), "last", span)
        yield self._find(self._enough(first), "first", span)
        limit = self._thresholds["plateau_pct_per_year"]
        for plateau in find_plateaus(fitted, limit, COVERAGE):
            yield self._find_plateau(plateau, limit)

    def refuse(self, refusal: Refusal) -> Iterator[Finding]:
        """The same questions when there is no level at all."""
        for window in ("last", "first"):
            yield self._find(refusal, window, 0)

    def _enough(self, slope: Slope | Refusal) -> Slope | Refusal:
        least = self._thresholds["slope_min_weeks"]
        if isinstance(slope, Refusal) or slope.n_weeks_trained >= least:
            return slope
        what = "the lift" if self._question == "lift_slope" else "its direct lifts"
        remedy = f"more logged weeks of {what}"
        return Refusal(
            slope.n_weeks_trained,
            least,
            "trained weeks in the span",
            remedy,
            counted="trained weeks",
        )

    def _find(
        self,
        slope: Slope | Refusal,
        window: str,
        record_weeks: int,
        age_from: float | None = None,
        age_to: float | None = None,
    ) -> Finding:
        common: dict[str, Any] = {
            "lifter_id": self._record.lifter.lifter_id,
            "question": self._question,
            "subject": self._subject,
            "unit": "%/year",
            "method": METHOD,
            "window": window,
            "age_from": age_from,
            "age_to": age_to,
        }
        if isinstance(slope, Refusal):
            return find_refused(slope, **common)  # type: ignore[arg-type]
        return find_answered(
            support_slope(slope.n_weeks_trained, slope.low, slope.high, record_weeks),
            **common,
            **self._numbers(slope),
            sentence=self._say(slope),
        )

    def _find_plateau(self, plateau: Slope, limit: float) -> Finding:
        start = self._record.week_start(plateau.week_from)
        numbers = self._numbers(plateau)
        verb = _say_plateau(plateau, limit)
        sentence = (
            f"{self._name} {verb} from {say_date(start)} to {say_date(numbers['to_date'])}: "
            f"{say_change(plateau.pct_per_year)} % a year "
            f"{say_interval(plateau.low, plateau.high)}, all within ±{limit:g} %."
        )
        return find_answered(
            support_search(plateau.n_weeks_trained, "trained weeks"),
            lifter_id=self._record.lifter.lifter_id,
            question="plateau",
            subject=self._subject,
            unit="%/year",
            method=METHOD,
            window="event",
            event_id=f"{start:%Y-%m}",
            **numbers,
            sentence=sentence,
        )

    def _numbers(self, slope: Slope) -> dict[str, Any]:
        return {
            "estimate": slope.pct_per_year,
            "low": slope.low,
            "high": slope.high,
            "coverage": COVERAGE,
            "n": slope.n_weeks_trained,
            "n_of": "trained weeks",
            "from_date": self._record.week_start(slope.week_from),
            "to_date": self._record.week_start(slope.week_to) + timedelta(days=6),
        }

    def _say(self, slope: Slope) -> str:
        limit = self._thresholds["plateau_pct_per_year"]
        verdict = {"rising": "rose", "falling": "fell", "plateau": _say_plateau(slope, limit)}
        verb = verdict.get(slope.verdict(limit), "may have changed either way")
        start = self._record.week_start(slope.week_from)
        end = self._record.week_start(slope.week_to) + timedelta(days=6)
        return (
            f"{self._name} {verb}: {say_change(slope.pct_per_year)} % a year "
            f"{say_interval(slope.low, slope.high)} from {say_date(start)} to {say_date(end)}, "
            f"{slope.n_weeks_trained} trained weeks."
        )


def _say_plateau(slope: Slope, limit: float) -> str:
    """A plateau whose interval leaves zero out did move, if by little: at this training age about
    1 % a year is what most people gain."""
    if slope.low > 0.0:
        return f"rose by less than {limit:g} % a year"
    return f"fell by less than {limit:g} % a year" if slope.high < 0.0 else "stood still"
