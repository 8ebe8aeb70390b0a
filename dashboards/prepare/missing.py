"""What the record cannot answer yet: how much is there, how much is needed."""

from dataclasses import dataclass

import polars as pl

from pipeline.core.page_book import PageBook


@dataclass(frozen=True)
class Missing:
    """One question without an answer, at the subject that is nearest to one."""

    question: str
    has: int
    needs: float | None
    of_what: str
    counted: str | None
    narrows: str

    @property
    def share(self) -> float:
        """Share of what is needed that is there."""
        return self.has / self.needs if self.needs else 0.0

    @property
    def weeks_more(self) -> int | None:
        """Weeks until it can be answered, where weeks are what is counted."""
        if self.needs is None or self.counted != "weeks":
            return None
        return max(1, round(self.needs - self.has))


def missing_questions(book: PageBook, lifter_id: str) -> list[Missing]:
    """Questions that have refusals and not one answer, in the order of the findings."""
    findings = book.tables["finding"].filter(pl.col("lifter_id") == lifter_id)
    answered = set(findings.filter(pl.col("support") != "not enough")["question"])
    nearest: dict[str, Missing] = {}
    for row in findings.filter(pl.col("support") == "not enough").iter_rows(named=True):
        one = Missing(
            row["question"],
            row["n"],
            row["needed"],
            row["n_of"],
            row["counted"],
            row["needs"] or "",
        )
        best = nearest.get(one.question)
        if one.question not in answered and (best is None or one.share > best.share):
            nearest[one.question] = one
    return list(nearest.values())
