"""What the findings say of each muscle's weekly sets, for the page Volume and progress."""

import re
from dataclasses import dataclass
from typing import Any

import polars as pl

from dashboards import words
from dashboards.numbers import amount, count, figure, range_words
from dashboards.prepare.counts import recent_mean
from dashboards.prepare.standing import BELOW, WITHIN, standing
from dashboards.prepare.strips import shown_muscles
from dashboards.theme.colours import AGE_BANDS, FAMILIES
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook

RECENT_WEEKS = 26
REFUSED = "not enough"
# The finding's own words (pipeline.findings.volume); they are what decides, not a second rule.
_NO_BETTER = "The record adds nothing to the published average"
_SEEN_UP_TO = re.compile(r"no limit seen up to (\d+)")

Row = dict[str, Any]


@dataclass(frozen=True)
class MuscleAnswer:
    """One shown muscle: its findings by band of training age, oldest first, or why there is none.

    ``bands``: rows of table ``finding`` (supported_sets), the last one holds now. ``reason``: why
    the record gives no answer. ``held``: the row of hold_sets. ``recent``: mean weekly sets of the
    last 26 logged weeks. ``trained_from``: weekly sets under which hardly a week was trained.
    """

    muscle_id: str
    name: str
    family: str
    bands: tuple[Row, ...]
    reason: str
    needs: str
    held: Row | None
    recent: float | None
    trained_from: float | None

    @property
    def now(self) -> Row | None:
        """The finding at the present training age."""
        return self.bands[-1] if self.bands else None

    @property
    def is_no_better(self) -> bool:
        """Whether the finding itself says that the record adds nothing to the published average."""
        return self.now is not None and _NO_BETTER in self.now["sentence"]

    @property
    def is_below_trained(self) -> bool:
        """Whether the best sets lie under what was trained: read off the curve, never seen."""
        if self.now is None or self.trained_from is None:
            return False
        return self.now["estimate"] < self.trained_from

    @property
    def reading(self) -> str:
        """Where the last 26 weeks stand: past, maybe_past, inside, maybe_under or under.

        Past and under only beyond where the edge itself may lie; "" where nothing can be said.
        """
        if self.now is None or self.recent is None:
            return ""
        place = standing(self.recent, self.now["range_low"], self.now["range_high"])
        if place == WITHIN:
            return "inside"
        beyond = standing(self.recent, self.now["edge_low"], self.now["edge_high"])
        sure, unsure = ("under", "maybe_under") if place == BELOW else ("past", "maybe_past")
        return sure if beyond == place else unsure


def muscle_answers(book: PageBook, lifter_id: str) -> list[MuscleAnswer]:
    """Every shown muscle in page order."""
    findings = book.tables["finding"].filter(pl.col("lifter_id") == lifter_id)
    supported = _by_muscle(findings, "supported_sets")
    held = _by_muscle(findings, "hold_sets")
    # A muscle whose strength cannot be followed at all is refused there, not in its sets.
    slopes = _by_muscle(findings.filter(pl.col("support") == REFUSED), "muscle_slope")
    weeks = book.tables["mart_week_muscle"].filter(pl.col("lifter_id") == lifter_id)
    recent = dict(recent_mean(weeks, RECENT_WEEKS).iter_rows())
    trained = _trained_from(book, lifter_id)
    families = dict(enumerate(FAMILIES))
    return [
        _answer(muscle_id, name, families[f], supported, held, slopes, recent, trained)
        for f, muscle_id, name in shown_muscles(book).select("f", "muscle_id", "name").iter_rows()
    ]


def _by_muscle(findings: pl.DataFrame, question: str) -> dict[str, list[Row]]:
    rows: dict[str, list[Row]] = {}
    chosen = findings.filter(pl.col("question") == question).sort("age_from", nulls_last=False)
    for row in chosen.iter_rows(named=True):
        rows.setdefault(row["subject"].split(":", 1)[1], []).append(row)
    return rows


def _answer(
    muscle_id: str,
    name: str,
    family: str,
    supported: dict[str, list[Row]],
    held: dict[str, list[Row]],
    slopes: dict[str, list[Row]],
    recent: dict[str, float],
    trained: dict[str, float],
) -> MuscleAnswer:
    rows = supported.get(muscle_id, [])
    bands = tuple(row for row in rows if row["support"] != REFUSED)
    refused = next((row for row in rows if row["support"] == REFUSED), None)
    told = refused or next(iter(slopes.get(muscle_id, [])), None)
    return MuscleAnswer(
        muscle_id=muscle_id,
        name=name,
        family=family,
        bands=bands,
        reason=""
        if bands
        else told_plain(told["support_why"])
        if told
        else words.plain("volume.never_direct"),
        needs="" if bands or not told else (told["needs"] or ""),
        held=next(iter(held.get(muscle_id, [])), None),
        recent=recent.get(muscle_id),
        trained_from=trained.get(muscle_id),
    )


def _trained_from(book: PageBook, lifter_id: str) -> dict[str, float]:
    """The least weekly sets that count as trained (4th percentile), by muscle."""
    curves = book.tables["model_volume_curve"].filter(
        (pl.col("lifter_id") == lifter_id) & pl.col("is_inside")
    )
    return dict(curves.group_by("muscle_id").agg(pl.col("weekly_sets").min()).iter_rows())


def opening_muscle(answers: list[MuscleAnswer]) -> MuscleAnswer:
    """The muscle that the page opens with: where the record adds most to the published average."""
    return min(answers, key=lambda one: _width_of_prior(one.now))


def _width_of_prior(row: Row | None) -> float:
    if row is None or row["prior_low"] is None:
        return 9.0
    return (row["high"] - row["low"]) / (row["prior_high"] - row["prior_low"])


def summary_order(answers: list[MuscleAnswer]) -> list[MuscleAnswer]:
    """Highest last 26 weeks over the best-supported sets first; refused muscles last."""

    def key(one: MuscleAnswer) -> tuple[bool, float]:
        if one.now is None or one.recent is None:
            return True, 0.0
        return False, -one.recent / one.now["estimate"]

    return sorted(answers, key=key)


def seen_up_to(row: Row) -> float:
    """Weekly sets up to which the record reaches, as the finding says where no limit was seen.

    Where an upper edge was seen the record reaches at least as far as that edge may lie.
    """
    found = _SEEN_UP_TO.search(row["sentence"])
    return float(found.group(1)) if row["range_high"] is None and found else row["edge_high"]


def upper_end(row: Row) -> float:
    """Where the bar of a range ends: at its upper edge, or where the record does."""
    return seen_up_to(row) if row["range_high"] is None else row["range_high"]


def say_age(row: Row) -> str:
    """The band of training age: 10 to 13.6."""
    return words.plain("volume.ages", first=figure(row["age_from"]), last=figure(row["age_to"]))


def say_range(row: Row) -> str:
    """The supported range: 9 to 21, or 9 and up."""
    return range_words(row["range_low"], row["range_high"])


def say_held(row: Row) -> str:
    """The fewest weekly sets that held, with the sets of their blocks: 4 (3 to 6)."""
    span = range_words(row["low"], row["high"])
    return words.plain("volume.held_at", sets=count(row["estimate"]), span=span)


def say_recent(answer: MuscleAnswer) -> str:
    """Mean of the last 26 weeks."""
    return "" if answer.recent is None else amount(answer.recent, 0)


def age_colours(bands: int) -> list[int]:
    """One of the four age tones (1 to 4) for each band, oldest first; the present is the last."""
    tones = len(AGE_BANDS)
    return [-(-(i + 1) * tones // bands) for i in range(bands)]


def none_better(answers: list[MuscleAnswer]) -> bool:
    """Whether the record adds nothing to the published average in any answered muscle."""
    return all(one.is_no_better for one in answers if one.bands)


def say_better(answers: list[MuscleAnswer]) -> str:
    """In how many of the answered muscles the record adds nothing to the published average."""
    answered = [one for one in answers if one.bands]
    if not answered:
        return ""
    same = sum(one.is_no_better for one in answered)
    return say_no_better(same, len(answered), words.plain("volume.pale"))


def say_no_better(same: int, answered: int, pale: str = "") -> str:
    """The sentence of ``same`` muscles among those answered; ``pale``: how they are drawn."""
    key = "summary_none_better" if same == answered else "summary_better"
    return words.plain(f"volume.{key}", same=same, answered=answered, pale=pale)


def muscles_no_better(book: PageBook, lifter_id: str) -> set[str]:
    """Muscles whose finding of now says that the record adds nothing to the published average."""
    found = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("question") == "supported_sets")
        & (pl.col("window") == "now")
        & pl.col("sentence").str.contains(_NO_BETTER, literal=True)
    )
    return {subject.split(":", 1)[1] for subject in found["subject"]}


def say_reading(answer: MuscleAnswer, all_same: bool) -> str:
    """Where the last 26 weeks stand; and whether the range is more than the published one, where
    that is not said of all muscles at once (``all_same``)."""
    if not answer.reading:
        return ""
    reading = words.plain(f"volume.reads_{answer.reading}")
    is_said = answer.is_no_better and not all_same
    return words.plain("volume.reads_same", reading=reading) if is_said else reading


def say_reason(answer: MuscleAnswer) -> str:
    """Why there is no range: not enough: 7 comparisons, 20 needed."""
    return "" if answer.bands else words.plain("volume.refused_mark", reason=answer.reason)
