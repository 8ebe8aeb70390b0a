"""The block that would tell most: which muscle's best sets, and whether it tells enough."""

from dataclasses import dataclass

import polars as pl

from pipeline.findings.next_phase.problem import Situation
from pipeline.findings.next_phase.tables import Proposal
from pipeline.models.narrowing.blocks import BlockSearch, Outlook
from pipeline.models.narrowing.plans import WEEKS, find_limits, list_plans
from pipeline.models.planning.learning import find_block


@dataclass(frozen=True)
class Learning:
    """What a block could tell.

    Attributes
    ----------
    muscle_id : whose best weekly sets it narrows most.
    ratio : expected width of their interval after it, as a share of today's.
    proposal : the block; None where it would take under a tenth off, or no block that would is
        possible within the limits.
    is_blocked : a block would tell enough, but breaks a limit.
    """

    muscle_id: str
    ratio: float
    proposal: Proposal | None
    is_blocked: bool = False


def learn_most(
    situation: Situation, outlook: Outlook | None, narrowing: pl.DataFrame, seconds: float
) -> Learning | None:
    """The most telling block of a lifter; None without any muscle whose sets are answered.

    ``narrowing`` is ``model_narrowing``: only muscles of which it says that some block tells enough
    are looked at again, within the lifter's limits; priorities first.
    """
    known = narrowing.filter(
        pl.col("muscle_id").is_in([one.muscle_id for one in situation.problem.muscles])
    )
    if outlook is None or known.is_empty():
        return None
    telling = known.filter("is_proposed")["muscle_id"].to_list()
    first = [one for one in telling if one in situation.wishes.priorities]
    if not telling:
        best = known.sort("width_share", "muscle_id").row(0, named=True)
        return Learning(best["muscle_id"], best["width_share"], None)
    plans = {
        one: list_plans(find_limits(outlook.weekly_sets[one], outlook.is_used[one]))
        for one in first or telling
    }
    block = find_block(BlockSearch(outlook, WEEKS), plans, situation.problem, seconds)
    if block is None:
        best = known.filter("is_proposed").sort("width_share", "muscle_id").row(0, named=True)
        return Learning(best["muscle_id"], best["width_share"], None, is_blocked=True)
    if not block.narrows:
        return Learning(block.muscle_id, block.ratio, None)
    proposal = Proposal("learning", block.weeks, WEEKS, block.muscle_id)
    return Learning(block.muscle_id, block.ratio, proposal)
