"""A career told by hand: its dates as whole weeks, in place of what would have been drawn."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from .options import CareerScript, ScriptedInjury, ScriptedPhase, ScriptedSpan
from .spans import PHASE_FACTORS, Span, Spans
from .traits import Traits

_Told = TypeVar("_Told")


@dataclass(frozen=True)
class _Calendar:
    """Turns what is told by dates into spans of whole weeks."""

    start: date
    n_weeks: int

    def week_of(self, day: date) -> int:
        week = (day - self.start).days // 7
        if not 0 <= week < self.n_weeks:
            raise ValueError(
                f"{day} lies outside the career of {self.n_weeks} weeks from {self.start}: "
                "move it or change years"
            )
        return week

    def layoff(self, told: ScriptedSpan) -> Span:
        return Span("layoff", self.week_of(told.start), self.week_of(told.end), why=told.why)

    def unlogged(self, told: ScriptedSpan) -> Span:
        return Span("unlogged", self.week_of(told.start), self.week_of(told.end), why=told.why)

    def phase(self, told: ScriptedPhase) -> Span:
        factor = PHASE_FACTORS[told.kind] if told.factor is None else told.factor
        first, last = self.week_of(told.start), self.week_of(told.end)
        return Span(told.kind, first, last, told.muscles, factor, told.why)

    def injury(self, told: ScriptedInjury) -> Span:
        return Span(
            "injury",
            self.week_of(told.start),
            self.week_of(told.end),
            (told.region,),
            why=told.why,
            lifts_out=told.lifts_out,
            substitutes=told.substitutes,
        )

    def gym_change(self, day: date) -> Span:
        return Span("gym_change", self.week_of(day), self.week_of(day), why="gym change")

    def device_change(self, day: date) -> Span:
        return Span("device_change", self.week_of(day), self.week_of(day), why="device change")

    def not_yet(self, told: tuple[str, date]) -> Span:
        return Span("not_yet", 0, self.week_of(told[1]) - 1, lifts_out=(told[0],))


def tell_spans(drawn: Spans, script: CareerScript, traits: Traits) -> Spans:
    """The script's groups as spans; a group that the script leaves None stays as drawn."""
    weeks = _Calendar(traits.start, traits.n_weeks)
    return Spans(
        layoffs=_tell(script.layoffs, weeks.layoff, drawn.layoffs),
        unlogged=_tell(script.unlogged, weeks.unlogged, drawn.unlogged),
        phases=_tell(script.phases, weeks.phase, drawn.phases),
        injuries=_tell(script.injuries, weeks.injury, drawn.injuries),
        gym_changes=_tell(script.gym_changes, weeks.gym_change, drawn.gym_changes),
        device_changes=_tell(script.device_changes, weeks.device_change, drawn.device_changes),
        not_yet=tuple(map(weeks.not_yet, script.first_used)),
    )


def _tell(
    told: tuple[_Told, ...] | None,
    to_span: Callable[[_Told], Span],
    drawn: tuple[Span, ...],
) -> tuple[Span, ...]:
    return drawn if told is None else tuple(map(to_span, told))
