"""Misspelt exercise names: unknown words are replaced by near known ones, never the other way.

A word that occurs in some known name is kept as it is, so that an incline press cannot become a
decline press, nor a hack squat a back squat. Distance: optimal string alignment (insertions,
deletions, substitutions and swaps of neighbours count 1 each).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby, islice, product

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

Words = tuple[str, ...]

MARGIN = 0.04  # two readings closer in certainty than this are a tie
STEP = 0.05  # certainty lost with each edit
LONG_WORD = 7  # from this length on, two edits are allowed
SHORT_WORD = 3  # at this length, only a swap of letters or one left out
PREFIX = 4  # a word cut short is completed from this length on
LONG_NAME = 8
MAX_READINGS = 16
N_NEAREST = 12
# Everyday words one or two letters off a word of some exercise's name; a slip makes none of them.
ORDINARY = frozenset(
    {"bunch", "call", "chips", "crow", "dad", "deal", "dress", "grow", "head", "lack"}
    | {"late", "lead", "left", "lounge", "next", "overload", "pack", "plan", "read", "rode"}
    | {"text"}
)


@dataclass(frozen=True)
class Speller:
    """Known words and names: ``names`` maps a name's text to its words."""

    vocabulary: frozenset[str]
    names: dict[str, Words]
    compact: dict[str, Words]

    @classmethod
    def from_names(cls, names: Iterable[Words]) -> "Speller":
        """Index names given as tuples of words."""
        known = [words for words in names if words]
        return cls(
            vocabulary=frozenset(word for words in known for word in words),
            names={" ".join(words): words for words in known},
            compact={"".join(words): words for words in known},
        )

    def corrections(self, words: Words) -> Iterator[tuple[Words, float]]:
        """Readings of ``words`` with each unknown word replaced, and their certainty, 0 to 1."""
        is_known = [word in self.vocabulary or word.isdigit() for word in words]
        if all(is_known):
            return
        options = [
            [(word, 0)] if known else self._near_words(word)
            for word, known in zip(words, is_known, strict=True)
        ]
        for reading in islice(product(*options), MAX_READINGS):
            edits = sum(distance for _, distance in reading)
            yield tuple(word for word, _ in reading), 1 - STEP * (1 + edits)

    def nearest(self, words: Words) -> list[tuple[Words, float]]:
        """Known names most like ``words``, with their likeness from 0 to 1, best first."""
        text = " ".join(words)
        found = process.extract(text, list(self.names), scorer=fuzz.WRatio, limit=N_NEAREST)
        return [(self.names[name], score / 100) for name, score, _ in found]

    def _near_words(self, word: str) -> list[tuple[str, int]]:
        if word in ORDINARY:
            return []
        most = _edits_allowed(word)
        found = [(known, _slips(word, known, most)) for known in sorted(self.vocabulary)]
        near = [
            (known, distance)
            for known, distance in found
            if distance <= most and _is_plausible(word, known)
        ]
        if near:
            least = min(distance for _, distance in near)
            return [pair for pair in near if pair[1] == least]
        begun = [known for known in self.vocabulary if known.startswith(word)]
        return [(begun[0], 1)] if len(word) >= PREFIX and len(begun) == 1 else []

    def near_names(self, words: Words) -> Iterator[tuple[Words, float]]:
        """Whole names with a missing space and up to two slips: ``benchpres``.

        A name of as many words is none of these: its words are corrected one by one, so that a
        short word does not become another (``rum kreuzheben`` is no ``sumo kreuzheben``).
        """
        text = "".join(words)
        if len(text) < LONG_NAME or all(word in self.vocabulary for word in words):
            return
        for name, known in self.compact.items():
            distance = OSA.distance(text, name, score_cutoff=2)
            if distance <= 2 and len(known) != len(words):
                yield known, 1 - STEP * (1 + distance)


def _slips(word: str, known: str, most: int) -> int:
    """Edits between two words, more than ``most`` counted as one more; letters doubled or not are
    one slip together, however many: ``dumbel``."""
    if _undouble(word) == _undouble(known) and len(word) >= PREFIX:
        return 0 if word == known else 1
    if abs(len(known) - len(word)) > most:
        return most + 1
    return OSA.distance(word, known, score_cutoff=most)


def _undouble(word: str) -> str:
    return "".join(letter for letter, _ in groupby(word))


def _edits_allowed(word: str) -> int:
    if len(word) < SHORT_WORD:
        return 0
    return 2 if len(word) >= LONG_WORD else 1


def _is_plausible(word: str, known: str) -> bool:
    """Of a short word only a swap, or a letter left out: ``rwo``, ``pll``."""
    return len(word) > SHORT_WORD or len(known) > len(word) or sorted(word) == sorted(known)
