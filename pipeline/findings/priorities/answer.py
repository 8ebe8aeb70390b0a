"""Findings about priority phases: each by itself, and all of them together."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import polars as pl

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.easing_rows import evidence_of, own_rows
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.priorities.phases import ToldPhase, find_phases, read_weeks
from pipeline.findings.priorities.rows import muscle_rows
from pipeline.findings.priorities.say import say_all, say_cost, say_gain
from pipeline.findings.priorities.shares import share_rows
from pipeline.findings.support import Support, support_phases
from pipeline.models.priority.gain import fit_priority
from pipeline.models.priority.ledger import Estimate, PhaseEffect, PriorityLedger
from pipeline.models.volume.answer import VolumeResponse

METHOD = "response to weekly sets in the phase against the usual sets around it"
COVERAGE = 0.95
QUESTIONS = ("priority_gain", "priority_cost")


@dataclass(frozen=True)
class PriorityAnswers:
    """Tables ``model_priority`` and ``model_share`` by name, and the findings."""

    tables: dict[str, pl.DataFrame]
    findings: tuple[Finding, ...]


def answer_priorities(
    record: Record,
    fitted: Mapping[str, IndexWeeks],
    responses: Mapping[str, VolumeResponse | Refusal],
    muscles: pl.DataFrame,
) -> PriorityAnswers:
    """What the told phases bought and cost, and each muscle's share of sets and of progress.

    Parameters
    ----------
    fitted, responses : index and response to weekly sets by muscle.
    muscles : ``ref_muscle``.
    """
    names = dict(muscles.select("muscle_id", "name").rows())
    told = list(find_phases(record))
    weeks = read_weeks(record, fitted, responses)
    ledger = fit_priority([one.phase for one in told], weeks, responses, coverage=COVERAGE)
    ledger_of = _Ledger(record, told, ledger, responses, names)
    rows = muscle_rows(record, told, ledger)
    return PriorityAnswers(
        {
            "model_priority": own_rows("model_priority", record, rows),
            "model_share": own_rows("model_share", record, share_rows(record, fitted)),
        },
        tuple(ledger_of.findings()),
    )


class _Ledger:
    """The findings of one lifter's phases."""

    def __init__(
        self,
        record: Record,
        told: list[ToldPhase],
        ledger: PriorityLedger,
        responses: Mapping[str, VolumeResponse | Refusal],
        names: Mapping[str, str],
    ) -> None:
        self._record, self._told, self._ledger, self._names = record, told, ledger, names
        self._responses = responses

    def findings(self) -> Iterator[Finding]:
        """Two of each phase, two of all."""
        for told, effect in zip(self._told, self._ledger.effects, strict=True):
            yield from self._of_phase(told, effect)
        yield from self._of_all()

    def _of_phase(self, told: ToldPhase, effect: PhaseEffect | Refusal) -> Iterator[Finding]:
        for question in QUESTIONS:
            common = self._common(question, f"event:{told.event_id}") | {
                "event_id": told.event_id,
                "window": "event",
                "from_date": told.start,
                "to_date": told.end,
                "evidence": told.evidence,
            }
            if isinstance(effect, Refusal):
                yield find_refused(effect, **common)
                continue
            is_gain = question == "priority_gain"
            found = effect.gain if is_gain else effect.cost
            if found is None:
                yield find_refused(_refuse_alone(), **common)
                continue
            say = say_gain if is_gain else say_cost
            yield find_answered(
                self._support(question, found, 1, told.phase.chosen),
                **common,
                **_fields(found),
                n=effect.n_weeks,
                n_of=f"training weeks, against {effect.n_usual} usual ones",
                sentence=say(told, effect, found, self._names),
            )

    def _of_all(self) -> Iterator[Finding]:
        read = [
            told
            for told, effect in zip(self._told, self._ledger.effects, strict=True)
            if isinstance(effect, PhaseEffect)
        ]
        pairs = ((QUESTIONS[0], self._ledger.gain), (QUESTIONS[1], self._ledger.cost))
        for question, found in pairs:
            common = self._common(question, f"lifter:{self._record.lifter.lifter_id}") | {
                "evidence": evidence_of({"evidence": one.evidence} for one in self._told)
            }
            if found is None:
                yield find_refused(_refuse_none(len(self._told)), **common)
                continue
            chosen = tuple({name for one in read for name in one.phase.chosen})
            yield find_answered(
                self._support(question, found, len(read), chosen),
                **common,
                **_fields(found),
                n=len(read),
                n_of=f"priority phases of {len(self._told)}",
                sentence=say_all(question, found, len(read), len(self._told)),
            )

    def _support(self, question: str, found: Estimate, n: int, chosen: tuple[str, ...]) -> Support:
        placebos = [
            one.gain if question == "priority_gain" else one.cost for one in self._ledger.placebos
        ]
        called = [one.called != 0 for one in placebos if one is not None]
        return support_phases(
            n,
            is_sided=found.called != 0,
            separated=all(self._is_separated(name) for name in chosen),
            placebos_called=sum(called) / len(called) if called else None,
        )

    def _is_separated(self, name: str) -> bool:
        response = self._responses.get(name)
        return not isinstance(response, VolumeResponse) or response.is_separated_from_dieting

    def _common(self, question: str, subject: str) -> dict[str, Any]:
        return {
            "lifter_id": self._record.lifter.lifter_id,
            "question": question,
            "subject": subject,
            "unit": "%",
            "method": METHOD,
        }


def _fields(found: Estimate) -> dict[str, float]:
    return {
        "estimate": found.value,
        "low": found.low,
        "high": found.high,
        "coverage": COVERAGE,
    }


def _refuse_alone() -> Refusal:
    return Refusal(
        has=0,
        needs=1,
        of_what="other muscles whose response to weekly sets could be fitted",
        remedy="keep logging all muscles",
    )


def _refuse_none(told: int) -> Refusal:
    return Refusal(
        has=0,
        needs=1,
        of_what=f"priority phases that could be read, of {told} told",
        remedy="tell phases in the journal, or accept proposed ones",
    )
