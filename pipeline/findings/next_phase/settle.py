"""The support of a proposal's lines, once the checks on the record have spoken."""

import polars as pl

from pipeline.core.dictionary import conform


def settle_proposals(proposals: pl.DataFrame, findings: pl.DataFrame) -> pl.DataFrame:
    """Table ``model_proposal_muscle`` with the support that its findings have in ``finding``."""
    settled = findings.select("finding_id", settled="support")
    joined = proposals.join(settled, on="finding_id", how="left", maintain_order="left")
    support = pl.coalesce("settled", "support")
    return conform("model_proposal_muscle", joined.with_columns(support=support).drop("settled"))
