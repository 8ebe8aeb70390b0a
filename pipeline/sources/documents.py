"""JSON and YAML to plain nodes: mappings, lists and texts, exactly as written.

Nothing is converted: a number, a date, ``yes`` or ``7:30`` stays the text that stands there, so no
rule of either language can turn it into something else. Nothing is ever built or run.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile
from pipeline.sources.json_pairs import TwiceError, make_object

# A mapping, a list, a text, or None for nothing.
Node = dict[str, Any] | list[Any] | str | None

MOST_BYTES = {"JSON": 256 * 2**20, "YAML": 48 * 2**20}
MOST_DEPTH = 40
MOST_NODES = 10_000_000  # values that stand behind an alias count each time
NULLS = frozenset({"", "~", "null", "Null", "NULL"})
REMEDY = "correct it there"

_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[{}\[\]:]')
_HALF = re.compile(r"\\u[dD][89a-fA-F]")
_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Documents:
    """What a file holds: ``root`` is its document, or the list of them where it has several.

    ``lines`` are the lines on which the documents of a list start, from 1; None for one document.
    """

    language: str
    root: Node
    lines: tuple[int, ...] | None = None


def read_documents(file: SourceFile, text: str) -> Documents:
    """Every document in ``text``; JSON where it begins like it, else YAML.

    Raises
    ------
    InputError
        with the line: broken syntax, a key that stands twice in one mapping, too deep or too large.
    """
    language = "JSON" if text.lstrip()[:1] in ("{", "[") else "YAML"
    size, most = len(text.encode("utf-8", "surrogatepass")), MOST_BYTES[language]
    if size > most:
        value = f"{size // 2**20} MB of {language}, {most // 2**20} MB at most"
        raise InputError(file.shown, None, value, "split the file")
    return _read_json(file, text) if language == "JSON" else _read_yaml(file, text)


def _read_json(file: SourceFile, text: str) -> Documents:
    """One document, or several one after the other, as a line each or not."""
    decoder = json.JSONDecoder(
        object_pairs_hook=make_object, parse_int=str, parse_float=str, parse_constant=str
    )
    has_halves = bool(_HALF.search(text))
    found: list[Node] = []
    lines: list[int] = []
    at, line, seen = 0, 1, 0
    try:
        while (at := _skip_blanks(text, at)) < len(text):
            line, seen = line + text.count("\n", seen, at), at
            node, at = decoder.raw_decode(text, at)
            node = _plain(node, 1, file)
            found.append(_as_written(node) if has_halves else node)
            lines.append(line)
    except json.JSONDecodeError as error:
        raise InputError(file.shown, error.lineno, f"no JSON: {error.msg}", REMEDY) from None
    except TwiceError as error:
        row = _line_of_second(text, seen, line)
        raise _twice(file, row, error.key) from None
    except RecursionError:
        raise _too_deep(file, line) from None
    if len(found) == 1 and not file.path.lower().endswith((".jsonl", ".ndjson")):
        return Documents("JSON", found[0])
    return Documents("JSON", found, tuple(lines))


def _skip_blanks(text: str, at: int) -> int:
    while at < len(text) and text[at] in " \t\r\n\x1e":
        at += 1
    return at


def _plain(node: Any, depth: int, file: SourceFile) -> Node:
    """Truth values as text; refuses what lies too deep."""
    if depth > MOST_DEPTH:
        raise _too_deep(file, None)
    if isinstance(node, dict):
        for key, value in node.items():
            if not isinstance(value, str):
                node[key] = _plain(value, depth + 1, file)
    elif isinstance(node, list):
        node[:] = [_plain(value, depth + 1, file) for value in node]
    elif isinstance(node, bool):
        return "true" if node else "false"
    return node


def _as_written(node: Node) -> Node:
    """Halves of a character, which no text can hold, as they are written: ``\\ud83d``."""
    if isinstance(node, dict):
        return {str(_as_written(key)): _as_written(value) for key, value in node.items()}
    if isinstance(node, list):
        return [_as_written(value) for value in node]
    return node.encode("utf-8", "backslashreplace").decode() if node else node


def _line_of_second(text: str, at: int, line: int) -> int:
    """Line on which a key stands for the second time in its mapping, from index ``at`` on."""
    open_keys: list[set[str] | None] = []
    last: tuple[str, int] = ("", at)
    for match in _TOKEN.finditer(text, at):
        token = match[0]
        if token in "{[":
            open_keys.append(set() if token == "{" else None)
        elif token in "}]":
            open_keys = open_keys[:-1]
        elif token != ":":
            last = (json.loads(token, strict=False), match.start())
        elif open_keys and (keys := open_keys[-1]) is not None:
            if last[0] in keys:
                return line + text.count("\n", at, last[1])
            keys.add(last[0])
    return line


def _read_yaml(file: SourceFile, text: str) -> Documents:
    try:
        events = yaml.parse(text, Loader=_Loader)
        found, lines = _Builder(file, events).read()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        row = mark.line + 1 if mark else None
        raise InputError(file.shown, row, f"no YAML: {error.problem}", REMEDY) from None
    except yaml.YAMLError as error:
        told = str(error).splitlines()[0]
        raise InputError(file.shown, None, f"no YAML: {told}", REMEDY) from None
    if len(found) == 1:
        return Documents("YAML", found[0])
    return Documents("YAML", found, tuple(lines))


class _Builder:
    """Nodes from the events of a YAML file."""

    def __init__(self, file: SourceFile, events: Iterator[Any]) -> None:
        self.file, self.events = file, events
        self.anchors: dict[str, tuple[Node, int]] = {}
        self.size = 0

    def read(self) -> tuple[list[Node], list[int]]:
        found: list[Node] = []
        lines: list[int] = []
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                first = next(self.events)
                self.anchors.clear()
                found.append(self._node(first, 1))
                lines.append(first.start_mark.line + 1)
        return found, lines

    def _node(self, start: Any, depth: int) -> Node:
        line = start.start_mark.line + 1
        if depth > MOST_DEPTH:
            raise _too_deep(self.file, line)
        if isinstance(start, yaml.AliasEvent):
            return self._alias(start.anchor or "", line)
        before = self.size
        self._count(1, line)
        node: Node
        if isinstance(start, yaml.ScalarEvent):
            node = None if start.value in NULLS and start.implicit[0] else start.value
        elif isinstance(start, yaml.SequenceStartEvent):
            node = []
            while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
                node.append(self._node(event, depth + 1))
        else:
            node = self._mapping(depth)
        if start.anchor:
            self.anchors[start.anchor] = (node, self.size - before)
        return node

    def _mapping(self, depth: int) -> dict[str, Node]:
        found: dict[str, Node] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            line = event.start_mark.line + 1
            if not isinstance(event, yaml.ScalarEvent):
                remedy = "write a plain text in front of the colon"
                raise InputError(self.file.shown, line, "a key that is no text", remedy)
            if event.value == "<<" and event.implicit[0]:
                remedy = "write the values out"
                raise InputError(self.file.shown, line, "'<<' is not read", remedy)
            if event.value in found:
                raise _twice(self.file, line, event.value)
            found[event.value] = self._node(next(self.events), depth + 1)
        return found

    def _alias(self, anchor: str, line: int) -> Node:
        if anchor not in self.anchors:
            value = f"no value is called &{anchor} before *{anchor}"
            raise InputError(self.file.shown, line, value, REMEDY)
        node, size = self.anchors[anchor]
        self._count(size, line)
        return node

    def _count(self, size: int, line: int) -> None:
        self.size += size
        if self.size > MOST_NODES:
            value = f"more than {MOST_NODES} values, those behind * counted each time"
            raise InputError(self.file.shown, line, value, "split the file")


def _twice(file: SourceFile, line: int, key: str) -> InputError:
    value = f"key {key[:60]!r} stands twice in one mapping"
    return InputError(file.shown, line, value, "make a list of the two, or rename one")


def _too_deep(file: SourceFile, line: int | None) -> InputError:
    value = f"more than {MOST_DEPTH} levels within each other"
    return InputError(file.shown, line, value, "no training log is that deep: check the file")
