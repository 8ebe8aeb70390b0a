"""What the pipeline tells in English, as the pages write it.

The warehouse keeps one wording in every language: its sentences, reasons and needs are English. A
translation brings ``told/*.toml``, where each English sentence stands with its places in braces,
beside the same in its own words, and ``names/*.toml`` with the muscles and the exercises. A place
is a number (``n``, ``n1``, ``n2``), a date (``d1``), an interval or range (``i1``, ``r1``), a few
names (``w1``), what stands so in a file (``v1``), what is counted, told in the plural even of one
(``c1``), else any text within a sentence, that is told in the same way: names and parts are found
there too. A number may bring the noun behind it, of one and of many (``n:set|sets``). What is not
found stays English, and says so to readers who hear the page (``lang``).
"""

import re
import tomllib
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import Any

from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Text
from dashboards.numbers import capital, say_date
from pipeline.core.calendar import MONTHS, read_said_date
from pipeline.core.counted import as_counted, as_many

_NUMBER = r"[+−-]?\d[\d,]*(?:\.\d+)?"
_DATE = rf"\d{{1,2}} (?:{'|'.join(MONTHS)}) \d{{4}}"
_WORDS = r"(?:[^\s,.;:]+ ){0,4}[^\s,.;:]+"
# A place of any text never runs over the end of a sentence; "Steele et al. 2023" has none.
_END = r"(?<! al)\. [A-Z\d]"
_TEXT = rf"(?:(?!{_END}).)+?"
# A place by the first letter of its name, where only digits follow.
_KINDS = {
    "n": _NUMBER,
    "d": _DATE,
    "i": rf"\({_NUMBER} to {_NUMBER}\)",
    "r": rf"{_NUMBER} to {_NUMBER}",
    "w": rf"{_WORDS}(?:, {_WORDS})*",
    "v": _TEXT,
    "c": _TEXT,
}
# A place may bring the noun that it counts, of one and of many: {n:set|sets}.
_PLACE = re.compile(r"\{(\w+)(?::([^{}|]*)\|([^{}|]*))?\}")
_TYPED = re.compile(r"([ndirwvc])\d*")
# Parts that are put together from texts of their own.
_SENTENCES = re.compile(r"(?<=\.)(?<! al\.) (?=[A-Z\d])")
_SEAMS = ("; ", ". ", ", ", ": ")


@dataclass(frozen=True)
class Telling:
    """One English sentence as a pattern, and the same in the language."""

    pattern: re.Pattern[str]
    said: str


def told(text: object) -> Text:
    """A text of the pipeline for a page; English that has no translation is marked as such."""
    english = "" if text is None else str(text)
    if is_left(english):
        return Markup('<span lang="en">{}</span>').format(_signed(english))
    return told_plain(english)


def is_left(text: str) -> bool:
    """No translation is known: the text stays English."""
    return _told(text, words.style()) is None


def told_plain(text: object) -> str:
    """The same without a mark, for charts and attributes."""
    english = "" if text is None else str(text)
    found = _told(english, words.style())
    return _signed(english) if found is None else found


def told_counted(number: float, of_what: str) -> str:
    """What a refusal counts (``of_what``: English, plural), as it stands beside the number."""
    return as_counted(number, of_what) if words.style().language == "en" else told_plain(of_what)


@lru_cache(maxsize=50_000)
def _told(text: str, style: Any) -> str | None:
    """``text`` in the language of ``style``, which is in force; None where nothing fits."""
    if style.language == "en" or not text:
        return _signed(text)
    whole = _whole(text) or _whole_as_begun(text)
    if whole is not None:
        return whole
    for seam in _SEAMS:
        parts = _split(text, seam)
        if len(parts) > 1:
            said = [_told(part, style) for part in parts]
            if None not in said:
                return (" " if seam == ". " else seam).join(map(str, said))
    return None


def _split(text: str, seam: str) -> list[str]:
    return _SENTENCES.split(text) if seam == ". " else text.split(seam)


def _whole(text: str) -> str | None:
    """The name of a muscle or an exercise, or a sentence of the catalogue."""
    return names("muscles").get(text) or names("exercises").get(text) or _find(text)


def _whole_as_begun(text: str) -> str | None:
    """The same of a text that begins a sentence, where the catalogue has it within one."""
    found = _whole(text[:1].lower() + text[1:]) if text[:1].isupper() else None
    return None if found is None else capital(found)


def _find(text: str) -> str | None:
    for one in _tellings(words.style().language):
        found = one.pattern.fullmatch(text)
        if found is not None:
            values = {name: _value(name, value) for name, value in found.groupdict().items()}
            return words.with_counted(one.said, values).format(**values)
    return None


def _value(name: str, value: str) -> str:
    """What stands in a place: figures and dates as the pages write them, texts told."""
    kind = _TYPED.fullmatch(name)
    if kind is not None and kind.group(1) == "v":
        return value
    if kind is not None and kind.group(1) == "c":
        value = as_many(value)
    elif kind is not None and kind.group(1) != "w":
        return _signed(value)
    found = _told(value, words.style())
    return _signed(value) if found is None else found


def _signed(text: str) -> str:
    """The figures and dates in a text as the pages write them."""
    dated = re.split(rf"\b({_DATE})\b", text)
    shown = [
        say_date(read_said_date(part)) if i % 2 else words.with_signs(part)
        for i, part in enumerate(dated)
    ]
    said = "".join(shown)
    if words.style().language == "en":
        return said
    low_high = words.plain("numbers.range", low=r"\1", high=r"\2")
    return re.sub(r"([+−]?\d[\d.,]*) to ([+−]?\d[\d.,]*)", low_high, said)


def told_pairs(language: str) -> dict[str, str]:
    """Every English sentence with the same in the language, of all its files ``told/*.toml``."""
    folder = resources.files("dashboards").joinpath("languages", language, "told")
    files = sorted((one for one in folder.iterdir()), key=lambda one: one.name)
    read = [tomllib.loads(one.read_text("utf-8")) for one in files]
    return {english: said for pairs in read for english, said in pairs.items()}


@cache
def _tellings(language: str) -> tuple[Telling, ...]:
    """Every sentence of the language, the most literal first."""
    pairs = told_pairs(language)
    ordered = sorted(pairs.items(), key=lambda pair: -len(_PLACE.sub("", pair[0])))
    return tuple(Telling(_pattern(english), said) for english, said in ordered)


def _pattern(english: str) -> re.Pattern[str]:
    parts = _PLACE.split(english)
    made = re.escape(parts[0])
    for name, one, many, rest in zip(*(parts[i::4] for i in range(1, 5)), strict=True):
        noun = "" if one is None else f" (?:{re.escape(one)}|{re.escape(many)})"
        made += f"(?P<{name}>{_kind_of(name)}){noun}{re.escape(rest)}"
    return re.compile(made, re.DOTALL)


def _kind_of(name: str) -> str:
    typed = _TYPED.fullmatch(name)
    return _KINDS[typed.group(1)] if typed else _TEXT


@cache
def _names(language: str, of_what: str) -> dict[str, str]:
    if language == "en":
        return {}
    file = resources.files("dashboards").joinpath("languages", language, "names", f"{of_what}.toml")
    return tomllib.loads(file.read_text("utf-8"))


def names(of_what: str) -> dict[str, str]:
    """Names of the ``muscles`` or ``exercises`` by their English ones; empty for English itself."""
    return _names(words.style().language, of_what)
