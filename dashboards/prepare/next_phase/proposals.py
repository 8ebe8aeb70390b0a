"""The proposals of one lifter as the page shows them."""

from dataclasses import dataclass
from typing import Any

import polars as pl

from dashboards import words
from dashboards.prepare.lift_rows import family_of_lifts
from dashboards.prepare.names import lift_names, name_lift, title_of
from dashboards.prepare.strips import shown_muscles
from dashboards.prepare.volume import muscles_no_better
from dashboards.theme.colours import FAMILIES
from pipeline.core.page_book import LifterInfo, PageBook
from pipeline.core.plan_weeks import plan_weeks

PROGRESS, LEARNING = "progress", "learning"
ROLES = ("build", "test", "ease", "hold")
# Less than this is no change: sets of now are a mean of weeks, those proposed are whole.
SAME_SETS = 1.0
# How the reason of a muscle begins that is held for what the journal tells of.
INJURED = "not raised: "
PREFIX = "plan-"
ORDER = ("place", "step", "sets_next", "name")

Row = dict[str, Any]


@dataclass(frozen=True)
class Proposed:
    """One proposal with a week to train by.

    Attributes
    ----------
    head : its row of ``model_proposal``.
    muscles : ``model_proposal_muscle`` with name and f (family), by role, largest change first.
    lifts : ``model_proposal_lift`` with name and f (family of its direct muscles; null: none).
    weeks : ``model_proposal_week`` with name.
    plan : the lifts of every week with name, because and minutes (``plan_weeks``).
    no_better : muscles whose own finding says that its range is no better than the published one.
    """

    head: Row
    muscles: pl.DataFrame
    lifts: pl.DataFrame
    weeks: pl.DataFrame
    plan: pl.DataFrame
    no_better: frozenset[str]

    @property
    def version(self) -> str:
        """progress or learning."""
        return str(self.head["version"])

    @property
    def command(self) -> str:
        """What ``liftstrata accept`` calls it."""
        return f"{PREFIX}{self.head['proposal_id']}"

    @property
    def is_published(self) -> bool:
        """Whether all muscles rest on the published average only."""
        return bool(self.muscles["is_published"].all())

    @property
    def sets_now(self) -> float:
        """Weekly sets of the lifts of now, each set once."""
        return float(self.lifts.unique("exercise_id")["sets_now"].sum())

    def sets_by_family(self) -> pl.DataFrame:
        """Weekly sets by family of the lift's direct muscles: f, name, now, next."""
        lifts = self.lifts.group_by("exercise_id", "f").agg(
            now=pl.col("sets_now").first(), next=pl.col("sets").sum()
        )
        families = lifts.with_columns(pl.col("f").fill_null(len(FAMILIES))).group_by("f")
        names = [words.plain(f"next_phase.family_{one}") for one in (*FAMILIES, "other")]
        sums = families.agg(pl.col("now", "next").sum()).sort("f")
        return sums.with_columns(name=pl.col("f").replace_strict(dict(enumerate(names))))

    def of_role(self, role: str) -> list[Row]:
        """Muscles of a role, in order."""
        return self.muscles.filter(pl.col("role") == role).to_dicts()


def heads_of_proposals(book: PageBook, lifter_id: str) -> dict[str, Row]:
    """Rows of ``model_proposal`` by version, also those that recommend nothing."""
    rows = book.tables["model_proposal"].filter(pl.col("lifter_id") == lifter_id)
    return {row["version"]: row for row in rows.iter_rows(named=True)}


def read_proposals(book: PageBook, lifter: LifterInfo) -> list[Proposed]:
    """Proposals with a week to train by: for progress first, then to learn."""
    heads = heads_of_proposals(book, lifter.lifter_id)
    known = [heads[one] for one in (PROGRESS, LEARNING) if one in heads]
    return [_read(book, head) for head in known if head["weekly_sets"] is not None]


def _read(book: PageBook, head: Row) -> Proposed:
    own = (pl.col("lifter_id") == head["lifter_id"]) & (
        pl.col("proposal_id") == head["proposal_id"]
    )
    tables = {
        name: book.tables[f"model_proposal_{name}"].filter(own)
        for name in ("muscle", "lift", "week")
    }
    names = shown_muscles(book).select("muscle_id", "name", "f")
    muscles = (
        tables["muscle"]
        .join(names, on="muscle_id")
        .with_columns(place=pl.col("role").replace_strict(list(ROLES), list(range(len(ROLES)))))
        .with_columns(step=(pl.col("sets_next") - pl.col("sets_now")).abs().round(1))
        .sort(*ORDER, descending=[False, True, True, False])
    )
    plan = plan_weeks(
        tables["lift"], tables["week"], tables["muscle"], book.tables["ref_contribution"]
    )
    lifts = name_lifts(book, tables["lift"])
    lines = lifts.filter(pl.col("day").is_not_null()).select(
        *("day", "place", "exercise_id", "name", "because"),
        each=pl.col("minutes") / pl.col("sets"),
    )
    plan = plan.join(lines, on=["day", "place", "exercise_id"], how="left").with_columns(
        minutes=pl.col("sets") * pl.col("each")
    )
    weeks = tables["week"].join(names, on="muscle_id").sort("week")
    same = frozenset(muscles_no_better(book, head["lifter_id"]))
    return Proposed(head, muscles, lifts, weeks, plan.sort("week", "day", "place"), same)


def name_lifts(book: PageBook, lifts: pl.DataFrame) -> pl.DataFrame:
    """Rows with ``exercise_id``, their name as a title and f, family of their direct muscles."""
    names = lift_names(book)
    families = family_of_lifts(book).rename({"id": "exercise_id"})
    named = [title_of(name_lift(names, one)) for one in lifts["exercise_id"]]
    return lifts.with_columns(pl.Series("name", named, dtype=pl.String)).join(
        families, on="exercise_id", how="left", maintain_order="left"
    )


def is_change(row: Row) -> bool:
    """Whether a muscle's weekly sets change."""
    return abs(row["sets_next"] - row["sets_now"]) >= SAME_SETS
