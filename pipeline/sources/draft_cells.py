"""Cells of one column: what kind of text stands there."""

import re
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from pipeline.core.units import BODY_WEIGHT_PATTERN
from pipeline.core.written import NOTHING, without_marks
from pipeline.sources.draft_labels import LabelMeaning, read_label

NUMBER = re.compile(r"[+\-−]?\d+(?:[.,]\d+)?")
WHOLE = re.compile(r"\d{1,4}")
LOAD = re.compile(
    rf"(?:{BODY_WEIGHT_PATTERN})?\s*[+\-−]?\s*(?:\d+(?:[.,]\d+)?)?\s*(?:kgs?|lbs?|kilos?|pounds?)?\s*"
    r"(?:/|per |each |a )?(?:hand|side|dumbbell)?(?:each)?"
    r"|(?:(?:\d|one|two|three|four|a)\s*)?plates?\b[^x×*@]{0,30}"
    r"|(?:\w+ )?bar(?:\s*\+[^x×*@]{1,30})?",
    re.IGNORECASE,
)
REPS = re.compile(r"\d{1,3}(?:\s*[-–]\s*\d{1,3})?\s*(?:reps?|x)?", re.IGNORECASE)
REPS_SERIES = re.compile(r"\d{1,3}(?:\s*[,;/]\s*\d{1,3})+|\d{1,3}(?:\s*-\s*\d{1,3}){2,}")
CLOCK = re.compile(r"\d{1,2}(?::|h\s?)\d{2}(?:\s?m(?:in)?)?")
SHORTHAND = re.compile(
    r"(?:\d|\bbw|kg|lbs?|hand|side|reps?|sets?|plates?|\bbar)\s*(?:[x×*@]|:\s)\s*[+\-−]?\s*(?:\d|bw|max)"
    r"|^\d+(?:[.,]\d+)?\s*(?:kg|lbs?)?\s+\d+\b",
    re.IGNORECASE,
)
UNIT_IN_CELL = re.compile(r"\d\s*(kgs?|kilos?|lbs?|pounds?)\b", re.IGNORECASE)
WARM_FLAGS = frozenset({"w", "wu", "warm", "warmup", "warm-up"})
YES_NO = frozenset({"x", "y", "yes", "true", "1", "j", "ja", "o", "oui", "s", "si", "sí", "f"})
YES_NO |= {"failure", "fail", "n", "no", "false", "0", "nein", "non"}
FLAGS = WARM_FLAGS | YES_NO | {"work", "working", "normal", "straight"}
SIDE_WORDS = frozenset({"l", "left", "links", "gauche", "r", "right", "rechts", "droite"})
SIDE_WORDS |= {"both", "beide", "b", "li", "re"}
MAX_ROWS = 20_000


@dataclass(frozen=True)
class Column:
    """One column of the file: its label, its place from 0, and its cells that say something.

    ``said`` are the words of the label that tell what it means, where that is not all of it.
    """

    label: str
    place: int
    cells: tuple[str, ...]
    said: str | None = None

    @cached_property
    def meaning(self) -> LabelMeaning:
        """What the label says."""
        return read_label(self.label if self.said is None else self.said)

    @cached_property
    def counts(self) -> Counter[str]:
        """Distinct cells with their counts."""
        return Counter(self.cells)

    @cached_property
    def is_empty(self) -> bool:
        """No cell says anything."""
        return not self.cells

    def share(self, test: Callable[[str], object]) -> float:
        """Share of the cells that pass, each distinct text tested once; 0 for an empty column."""
        if not self.cells:
            return 0.0
        return sum(n for text, n in self.counts.items() if test(text)) / len(self.cells)

    def share_like(self, pattern: re.Pattern[str]) -> float:
        """Share of the cells that are wholly of this form."""
        return self.share(pattern.fullmatch)

    @cached_property
    def shorthand(self) -> float:
        """Share of the cells that look like set shorthand."""
        return self.share(SHORTHAND.search)

    @cached_property
    def numbers(self) -> tuple[float, ...]:
        """Values of the plain numbers, either decimal sign, in order."""
        found = (read_number(text) for text in self.cells)
        return tuple(value for value in found if value is not None)

    @cached_property
    def is_numeric(self) -> bool:
        """Nine cells in ten are plain numbers."""
        return self.share_like(NUMBER) >= 0.9

    @cached_property
    def is_whole(self) -> bool:
        """Nine cells in ten are whole numbers of at most four digits."""
        return self.share_like(WHOLE) >= 0.9


def read_number(text: str) -> float | None:
    """A plain number with either decimal sign; None for anything else."""
    if not NUMBER.fullmatch(text):
        return None
    return float(text.replace(",", ".").replace("−", "-"))


def make_column(label: str, place: int, cells: Iterable[str], said: str | None = None) -> Column:
    """A column from its cells, blanks taken off; empty ones and dashes say nothing."""
    bare = (without_marks(cell).strip() for cell in cells)
    return Column(label, place, tuple(cell for cell in bare if cell not in NOTHING), said)
