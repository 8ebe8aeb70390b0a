"""Which part of a line is the name of an exercise and which part its sets.

A name may hold numbers ("45 degree press"), stand before or behind the sets, and several exercises
may share a line. So every place where sets could begin is tried against the set notation and
against the names that are known: the first one that is both wins; a name that nobody knows needs
sets that cannot be mistaken.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import islice
from typing import Protocol

from pipeline.tidy.notation.words import KNOWN, PHRASES
from pipeline.tidy.notes.remarks import bracket_remarks, clean_signs, says_undone
from pipeline.tidy.notes.words import SET_LABEL

SET_LIKE = re.compile(
    r"\d\s*[x×*@]\s*[+\-−]?(?:\d|bw|max|amrap|fail)|\d\s*(?:kgs?|lbs?|kilos?|pounds?)\b|"
    r"\d\s*(?:sets?|reps?|wdh|séries?|series)\b|\b(?:bw|body\s?weight)\s*(?:[+\-−]\s*\d+\s*)?[x×*:]|"
    r"\d\s*(?:plates?|scheiben?)\b",
    re.IGNORECASE,
)
_NUMBER_NAME = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:°|deg\w*|grad\w*|arm|leg|hand|board|inch|count|point|way|pin)|\d+s\s"
)
_DEGREES = re.compile(r"\d\s*(?:°|deg|grad)[^\d]*$", re.IGNORECASE)
_COUNTS_IN = re.compile(r"[:,;=@]\s*\d|\d\s*[,;/×*]|\d\s+\d")
# A number at the end of a name is an angle only where the name speaks of a slope; else it is the
# load or the first repetitions: "row 60" before an 8, "dips 10," before more.
_NUMBER_LAST = re.compile(r".*\D\s\d+(?:[.,]\d+)?")
_SLOPING = re.compile(r"\b(?:incl|decl|schr[äa]g|negativ|lutande|sned|schuin|flat)", re.IGNORECASE)
_RUN = re.compile(r"[^\W\d_]+(?:[\s'’/&-]+[^\W\d_]+)*")
_PIECE = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_BEGINS = re.compile(r"(?:^|(?<=[\s:=|(,;]))(?=[+\-−@]?\s?\d|[^\W\d_])")
_SETS_FOLLOW = re.compile(r"[\s:=,\-–—@(]*(?:\d|bw\b|[+\-−]\d)", re.IGNORECASE)
_AROUND = " :–—-=|,;@\t."
_FRONT = " :–—=|,;\t"
MOST_PLACES = 12
MOST_WORDS = 40  # of a line, among which a name behind sets is looked for
MOST_NAME = 80
SURE = 0.9


class NameLike(Protocol):
    """What is asked of a matched name."""

    @property
    def exercise_id(self) -> str | None: ...
    @property
    def certainty(self) -> float: ...
    @property
    def how(self) -> str: ...


@dataclass(frozen=True)
class Entry:
    """Sets in the notation, and the name they stand beside; None: the exercise above."""

    name: str | None
    sets: str


@dataclass(frozen=True)
class Reading:
    """What a line is: its entries; or a fault, with what to do; or neither: words only.

    ``name`` is the known exercise on a line whose ``rest`` is not understood as sets; ``is_load``:
    the rest can be a load alone.
    """

    entries: tuple[Entry, ...] = ()
    fault: str | None = None
    name: str | None = None
    rest: str | None = None
    is_load: bool = False


@dataclass
class Splitter:
    """Reads lines of notes, each distinct text once.

    ``parse`` gives None for sets that are understood, else what is wrong; ``resolve`` finds the
    exercise that a name means.
    """

    parse: Callable[[str], str | None]
    resolve: Callable[[str], NameLike]
    _parsed: dict[str, str | None] = field(default_factory=dict, repr=False)
    _read: dict[str, Reading] = field(default_factory=dict, repr=False)

    def read(self, text: str) -> Reading:
        """What the line ``text`` is."""
        if text not in self._read:
            self._read[text] = self._read_line(clean_signs(text))
        return self._read[text]

    def is_known(self, name: str, certainty: float = 0.0) -> bool:
        """``name`` stands for an exercise."""
        if not name or len(name) > MOST_NAME:
            return False
        match = self.resolve(name)
        return match.exercise_id is not None and match.certainty >= certainty

    def sets_in(self, text: str) -> str | None:
        """``text`` as sets, remarks in brackets; None when it is no set, or more than sets."""
        if says_undone(text):
            return None
        if self._fault(text) is None:
            return text
        bracketed = bracket_remarks(text)
        if bracketed and bracketed != text and self._fault(bracketed) is None:
            return bracketed
        return None

    def _fault(self, text: str) -> str | None:
        if text not in self._parsed:
            is_empty = not any(sign.isalnum() for sign in text)
            self._parsed[text] = "no sets" if is_empty else self.parse(text)
        return self._parsed[text]

    def _read_line(self, text: str) -> Reading:
        if not text:
            return Reading()
        label = SET_LABEL.match(text)
        if label and (sets := self.sets_in(text[label.end() :].strip())):
            return Reading((Entry(None, sets),))
        if _DEGREES.search(text) and self.is_known(text):
            return Reading()
        if not _NUMBER_NAME.match(text):
            behind = self._name_behind(text) if text[0].isdigit() else None
            if behind is not None:
                return behind
            whole = self.sets_in(text)
            if whole is not None and whole == text:
                return Reading((Entry(None, whole),))
        pieces = self._cut(text)
        if len(pieces) > 1:
            return self._read_pieces(pieces)
        return self._split(text)

    def _read_pieces(self, pieces: list[str]) -> Reading:
        """Several exercises on one line; it is read whole or not at all."""
        found = [self._split(piece) for piece in pieces]
        fault = next((one.fault for one in found if one.fault or not one.entries), None)
        if fault or not all(one.entries for one in found):
            return Reading(fault=fault or "one of several exercises has no sets: a line for each")
        return Reading(tuple(entry for one in found for entry in one.entries))

    def _split(self, text: str) -> Reading:
        """Name before its sets."""
        best: tuple[str, str] | None = None
        unsure: Reading | None = None
        for at in self._places(text):
            name, sets = self._name_in(text[:at]), text[at:].strip(_FRONT)
            sets = sets.removeprefix("@").strip(_FRONT)
            has_number = any(sign.isdigit() for sign in sets)
            if not name or not has_number or not self._can_be_name(name, text[:at]):
                continue
            known = self.is_known(name)
            read = self.sets_in(sets)
            if read is not None and known:
                return self._with_longer_name(text, at, name, read)
            if read is not None and unsure is None and _is_name(name) and SET_LIKE.search(read):
                unsure = Reading((Entry(name, read),))
            if known:
                best = name, sets
        if best is not None:
            return self._not_understood(*best)
        whole = self.sets_in(text) if text[0].isdigit() or text[0] in "+-−" else None
        if whole is not None and SET_LIKE.search(whole):
            return Reading((Entry(None, whole),))
        if unsure is not None:
            return unsure
        if SET_LIKE.search(text) or not any(sign.isalpha() for sign in text):
            return Reading(fault=self._fault(text) or "name and sets cannot be told apart")
        return Reading()

    def _can_be_name(self, name: str, before: str) -> bool:
        """No numbers of sets in it; ``before`` is the text it was taken from."""
        if not _begins_name(name) or _COUNTS_IN.search(name):
            return False
        if not _NUMBER_LAST.fullmatch(name) or self.is_known(name, 1.0):
            return True  # "leg press 45" is a name that is known as it stands
        return bool(_SLOPING.search(name)) and before.rstrip()[-1:] not in (",", "/", ";")

    def _with_longer_name(self, text: str, at: int, name: str, read: str) -> Reading:
        """``curl barbell ez 3x9``: a bar that makes it another exercise is part of the name."""
        digit = next((i for i in range(at, len(text)) if text[i].isdigit()), at)
        longer, sets = self._name_in(text[:digit]), text[digit:].strip(_FRONT)
        if digit > at and longer != name and self.is_known(longer, SURE):
            other = self.resolve(longer).exercise_id != self.resolve(name).exercise_id
            its = self.sets_in(sets) if other else None
            if its is not None:
                return Reading((Entry(longer, its),))
        return Reading((Entry(name, read),))

    def _not_understood(self, name: str, rest: str) -> Reading:
        """A known exercise with numbers that are no sets, perhaps a load for the lines beneath."""
        load = rest.strip("()[] :")
        is_load = not re.search(r"[x×*/,;]", load) and self._fault(f"{load} x 8") is None
        return Reading((), self._fault(rest) or "not understood", name, load, is_load)

    def _places(self, text: str) -> list[int]:
        """Where sets could begin: at numbers, signs, and words of the notation."""
        places: list[int] = []
        for match in _BEGINS.finditer(text):
            at = match.start()
            word = _PIECE.match(text, at)
            if at and (word is None or word[0].casefold().rstrip("x") in KNOWN):
                places.append(at)
        return places[:MOST_PLACES]

    def _name_in(self, text: str) -> str:
        """The name in front of sets, without brackets or a title before it that nobody knows."""
        name = text.strip(_AROUND + "([")
        titled = name.rpartition(": ")[2]
        if titled != name and not self.is_known(name) and self.is_known(titled):
            return titled
        if "(" in name and not self.is_known(name):
            bare = re.sub(r"\([^)]*\)?", " ", name).strip(_AROUND)
            return " ".join(bare.split()) if self.is_known(bare) else name
        return name

    def _name_behind(self, text: str) -> Reading | None:
        """``5x5 squat @ 100``: sets, the name, and more of the sets."""
        words = list(islice(re.finditer(r"[^\s,;:()@]+", text), MOST_WORDS))
        for first in range(1, len(words)):
            before = text[: words[first].start()].strip(_FRONT)
            if not _is_set_front(before):
                break
            for last in range(len(words) - 1, first - 1, -1):
                name = text[words[first].start() : words[last].end()]
                if not any(sign.isalpha() for sign in name) or not self.is_known(name, SURE):
                    continue
                rest = text[words[last].end() :].strip(_FRONT)
                for sets in (f"{before} {rest}".strip(), f"{before} reps {rest}".strip()):
                    if (read := self.sets_in(sets)) is not None:
                        return Reading((Entry(name, read),))
        return None

    def _name_in_run(self, text: str, start: int, end: int) -> int | None:
        """Where a known name begins in a run of words, numbers or words of the notation behind."""
        pieces = list(_PIECE.finditer(text, start, end))
        while pieces:
            last = pieces[-1].end()
            if _SETS_FOLLOW.match(text, last) or last < end:
                for word in pieces:
                    name = text[word.start() : last]
                    if not _is_of_notation(name) and self.is_known(name, SURE):
                        return word.start()
            if not _is_of_notation(pieces.pop()[0]):
                return None
        return None

    def _cut(self, text: str) -> list[str]:
        """The line at the names of further exercises, each with numbers behind it."""
        first = next((at for at, sign in enumerate(text) if sign.isdigit()), None)
        if first is None or not text[0].isalpha():
            return [text]
        starts = [0]
        for run in _RUN.finditer(text, first):
            if _depth(text, run.start()):
                continue
            start = self._name_in_run(text, run.start(), run.end())
            if start is not None:
                starts.append(start)
        ends = [*starts[1:], len(text)]
        return [text[one:two].strip(_FRONT + "+&/") for one, two in zip(starts, ends, strict=True)]


def _is_of_notation(word: str) -> bool:
    """A word that means something in the notation by itself: "squat" does only in "squat bar"."""
    plain = word.casefold()
    return (plain,) in PHRASES or (plain.removesuffix("x"),) in PHRASES or plain == "x"


def _depth(text: str, at: int) -> int:
    return text.count("(", 0, at) - text.count(")", 0, at)


def _is_set_front(text: str) -> bool:
    """Numbers and words of the notation only."""
    return all(word.casefold().strip("x") in KNOWN | {""} for word in _PIECE.findall(text))


def _begins_name(name: str) -> bool:
    return name[0].isalpha() or bool(_NUMBER_NAME.match(name + " "))


def _is_name(name: str) -> bool:
    """Few words with letters, as names have, that do not say that nothing was done."""
    has_words = len(name.split()) <= 6 and any(sign.isalpha() for sign in name)
    return has_words and not name.endswith((".", "!")) and not says_undone(name)
