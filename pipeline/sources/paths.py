"""Labels of nested records: paths such as ``sessions[].exercises[].sets[].load``.

    name         the value under that key (in quotes where it holds a sign of this language)
    []           each item of a list; a single item may stand without its list
    [0]          the item at that place of a short list
    {}           each value of a mapping whose keys are data: days, names of exercises
    {key}        the key itself, at the end of a label: ``log{key}``, ``{}{key}``

A label is written in one way only, so that it can be compared as text.
"""

import json
import re
from dataclasses import dataclass

_PLAIN = re.compile(r"[^\s.\[\]{}\"]+(?: [^\s.\[\]{}\"]+)*")
_STEP = re.compile(
    r"(?P<items>\[\])|\[(?P<place>\d{1,4})\]|(?P<key>\{key\})|(?P<values>\{\})"
    r"|(?P<dot>\.?)(?:(?P<quoted>\"(?:[^\"\\]|\\.)*\")|(?P<name>[^.\[\]{}\"]+))"
)
ITEMS, VALUES, KEY = "[]", "{}", "{key}"


@dataclass(frozen=True)
class Path:
    """A label in its steps: ``levels`` are the parts that end in ``[]`` or ``{}``, each a tuple of
    steps; ``rest`` what follows within one record.

    ``sessions[].sets[].load`` has levels ``(("sessions", "[]"), ("sets", "[]"))`` and rest
    ``("load",)``; in steps a name has a dot in front, a place its brackets.
    """

    levels: tuple[tuple[str, ...], ...]
    rest: tuple[str, ...]

    @property
    def steps(self) -> tuple[str, ...]:
        """All steps in order."""
        return (*(step for level in self.levels for step in level), *self.rest)


def read_path(label: str) -> Path | None:
    """The path that a label says; None when it is no path."""
    levels: list[tuple[str, ...]] = []
    rest: list[str] = []
    at = 0
    while at < len(label):
        match = _STEP.match(label, at)
        if match is None or rest[-1:] == [KEY]:
            return None
        name = match["name"]
        if match["quoted"]:
            try:
                name = json.loads(match["quoted"])
            except ValueError:
                return None
        if name is not None and bool(match["dot"]) == (at == 0):
            return None
        at = match.end()
        step = f".{name}" if name is not None else match[0]
        rest.append(step)
        if step in (ITEMS, VALUES):
            levels.append(tuple(rest))
            rest.clear()
    return Path(tuple(levels), tuple(rest))


def write_path(steps: tuple[str, ...]) -> str:
    """The label of these steps."""
    told = "".join(_write_step(step) for step in steps)
    return told[1:] if told.startswith(".") else told


def _write_step(step: str) -> str:
    if not step.startswith("."):
        return step
    name = " ".join(step[1:].split())  # as labels of maps are compared
    return f".{name}" if _PLAIN.fullmatch(name) else f".{json.dumps(name, ensure_ascii=False)}"


def is_path(label: str) -> bool:
    """A label that can only be meant as a path: no header of a table looks like it."""
    if not any(sign in label for sign in (ITEMS, VALUES, KEY)):
        return False
    path = read_path(label)
    return path is not None and write_path(path.steps) == label
