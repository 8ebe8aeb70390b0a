"""Two proposals for the next phase: most expected progress, and most to learn.

Reads the fit of weekly sets, what would narrow it, and the lifter's wishes; the tables say a week
to train by with a reason a line. A proposal is no finding: it claims nothing of the record.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.core.dictionary import empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.muscles import frame_of
from pipeline.findings.next_phase.heads import learning_row, progress_row
from pipeline.findings.next_phase.learn import learn_most
from pipeline.findings.next_phase.problem import make_situation, planned_muscles
from pipeline.findings.next_phase.reasons import known_findings
from pipeline.findings.next_phase.tables import Proposal, lift_rows, muscle_rows, week_rows
from pipeline.findings.next_phase.wishes import read_wishes
from pipeline.models.narrowing.blocks import Outlook
from pipeline.models.planning.programme import plan_week
from pipeline.models.volume.answer import VolumeResponse

TABLES = (
    "model_proposal",
    "model_proposal_muscle",
    "model_proposal_lift",
    "model_proposal_week",
)
# Of one run of the solver. A refresh waits for the gap to be reached, so that the same record gives
# the same week on a slow machine too; nearly every week takes under half a second.
SECONDS = 60.0


@dataclass(frozen=True)
class VolumeRead:
    """What the question of weekly sets left for a proposal.

    Attributes
    ----------
    answers : the response of each muscle, or why there is none. outlook : the fit behind them.
    narrowing : table ``model_narrowing``. constraints : table ``model_constraint``.
    """

    answers: Mapping[str, VolumeResponse | Refusal]
    outlook: Outlook | None
    narrowing: pl.DataFrame
    constraints: pl.DataFrame


def answer_next_phase(
    record: Record,
    read: VolumeRead,
    findings: tuple[Finding, ...],
    reference: Mapping[str, pl.DataFrame],
    thresholds: dict[str, float],
) -> dict[str, pl.DataFrame]:
    """Tables ``model_proposal``, ``_muscle``, ``_lift`` and ``_week`` of one lifter.

    reference : ref_muscle and ref_prior. findings : all answered so far. Without a muscle that was
    trained in the last two years nothing is proposed.
    """
    muscle_ids = planned_muscles(record, reference["ref_muscle"])
    if not muscle_ids:
        return {table: empty_frame(table) for table in TABLES}
    known = known_findings(findings)
    held = {one: finding.estimate or 0.0 for one, finding in known.held.items()}
    wishes = read_wishes(record, muscle_ids, read.constraints, thresholds)
    priors = reference["ref_prior"]
    situation = make_situation(record, wishes, muscle_ids, read.answers, priors, held, thresholds)
    names = dict(reference["ref_muscle"].select("muscle_id", "name").rows())
    progress = Proposal("progress", (plan_week(situation.problem, SECONDS),), wishes.weeks)
    learnt = learn_most(situation, read.outlook, read.narrowing, SECONDS)
    proposals = [
        progress,
        *([] if learnt is None or learnt.proposal is None else [learnt.proposal]),
    ]
    heads = [progress_row(situation, known, progress, priors, names)]
    if learnt is not None:
        heads.append(learning_row(situation, learnt, priors, names))
    rows = {
        "model_proposal": heads,
        "model_proposal_muscle": [
            r for one in proposals for r in muscle_rows(situation, known, one)
        ],
        "model_proposal_lift": [r for one in proposals for r in lift_rows(situation, known, one)],
        "model_proposal_week": [r for one in proposals for r in week_rows(situation, one)],
    }
    return {table: frame_of(table, rows[table]) for table in TABLES}
