"""Sets with each part on a line of its own: ``Weight: 100``, ``Reps: 8``, ``Sets: 3``."""

import re
from dataclasses import dataclass, field

from pipeline.tidy.notes.layout import NoteLine
from pipeline.tidy.notes.words import PART

_BETWEEN = re.compile(r"\s*[,;|]\s+")
# A comma between digits may be a decimal sign: only one with a space behind it lists.
_LIST = re.compile(r"\s*(?:[;/]|,(?!\d))\s*|\s+")
_COUNT = re.compile(r"\d{1,3}(?:\s*[-–]\s*\d{1,3})?")
MOST_LISTED = 20
SAYS = {"rir": " RIR {}", "rpe": " RPE {}"}


def parts_in(text: str) -> list[tuple[str, str]]:
    """What a line says of a set, as name and value; empty where it says anything else.

    >>> parts_in("Weight: 100 kg"), parts_in("Sets: 3 | Reps: 8")
    ([('load', '100 kg')], [('sets', '3'), ('reps', '8')])
    >>> parts_in("Reps: 100x8"), parts_in("Bench press: 8")
    ([], [])
    """
    for pieces in ([text], _BETWEEN.split(text)):
        matches = [PART.fullmatch(piece.strip(" .")) for piece in pieces]
        found = [(match.lastgroup or "", match) for match in matches if match is not None]
        if len(found) == len(pieces):
            return [_named(match) for _, match in found]
    return []


def _named(match: re.Match[str]) -> tuple[str, str]:
    said = {name: text for name, text in match.groupdict().items() if text is not None}
    value = said.pop("value").strip()
    return next(iter(said)), value


@dataclass
class KeyedSet:
    """Parts gathered so far, with the lines that they stand on; ``set_no`` is that of the last set
    of the exercise that had a number.
    """

    set_no: int = 0
    parts: dict[str, str] = field(default_factory=dict)
    lines: list[tuple[NoteLine, str]] = field(default_factory=list)

    def has(self, name: str) -> bool:
        """The part was said already, so that another set begins."""
        return name in self.parts or ("set" in self.parts and name == "sets")

    def add(self, line: NoteLine, text: str, name: str, value: str) -> None:
        """Keep a part. ``Set: 2`` behind ``Set: 1`` is its number, ``Set: 3`` alone how many."""
        if name == "set":
            is_next = value == str(self.set_no + 1)
            self.set_no = self.set_no + 1 if is_next else 0
            self.parts["set"] = value
            if not is_next:
                self.parts["sets"] = value
        else:
            self.parts[name] = value
        if not self.lines or self.lines[-1][0] is not line:
            self.lines.append((line, text))

    def as_sets(self) -> str | None:
        """The set in words that say what each number is; None where repetitions are missing, or
        lists do not go together.
        """
        n_sets = self.parts.get("sets", "1")
        counts = _listed(self.parts.get("reps", ""))
        loads = [self.parts["load"]] if "load" in self.parts else [""]
        if len(counts) > 1 and len(_listed(loads[0])) == len(counts):
            loads = _listed(loads[0])
        if not counts or not n_sets.isdecimal() or not all(map(_COUNT.fullmatch, counts)):
            return None
        if len(counts) > 1 and n_sets not in ("1", str(len(counts))):
            return None
        each = "1" if len(counts) > 1 else n_sets
        told = "".join(SAYS[key].format(self.parts[key]) for key in SAYS if key in self.parts)
        texts = [f"{each} sets x {count} reps" for count in counts]
        loads = loads * len(counts) if len(loads) == 1 else loads
        pairs = zip(texts, loads, strict=True)
        return "\n".join(f"{text} @ {load}{told}" if load else text + told for text, load in pairs)


def _listed(text: str) -> list[str]:
    return [one for one in _LIST.split(text.strip()) if one][:MOST_LISTED]
