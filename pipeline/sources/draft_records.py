"""Records of map drafting: what it works with and what it gives. No behaviour."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Protocol

import polars as pl

from pipeline.core.errors import SettingsError
from pipeline.core.source import RawFile


class SetLike(Protocol):
    """What drafting asks of a parsed set."""

    @property
    def reps(self) -> int | None: ...
    @property
    def load(self) -> float | None: ...
    @property
    def unit(self) -> str | None: ...
    @property
    def is_warmup(self) -> bool: ...
    @property
    def segment_no(self) -> int: ...


class NameLike(Protocol):
    """What drafting asks of a matched exercise name."""

    @property
    def exercise_id(self) -> str | None: ...
    @property
    def certainty(self) -> float: ...
    @property
    def candidates(self) -> tuple[str, ...]: ...
    @property
    def how(self) -> str: ...


class TidyLike(Protocol):
    """What drafting asks of a file that was read with the drafted map."""

    @property
    def sets(self) -> pl.DataFrame: ...
    @property
    def signals(self) -> pl.DataFrame: ...
    @property
    def set_aside(self) -> pl.DataFrame: ...


class NotesLike(Protocol):
    """What drafting asks of notes looked at without a map."""

    @property
    def numeric(self) -> tuple[str, ...]: ...
    @property
    def numeric_rows(self) -> tuple[int, ...]: ...
    @property
    def forms(self) -> dict[str, tuple[int, str]]: ...
    @property
    def n_agreeing(self) -> int: ...
    @property
    def n_weekdays(self) -> int: ...
    @property
    def n_lacking(self) -> int: ...
    @property
    def weeks(self) -> tuple[str, ...]: ...
    @property
    def years(self) -> tuple[int, ...]: ...
    @property
    def entries(self) -> tuple[tuple[date | None, str, str], ...]: ...
    @property
    def tables(self) -> tuple[Mapping[str, tuple[str | None, ...]], ...]: ...


@dataclass(frozen=True)
class Readers:
    """The readers of the tidy stage, handed in by the caller: sources import core only.

    Parameters
    ----------
    parse_sets : sets of a shorthand text, given the order of numbers and the decimal sign, plates
        counted on each side; raises ``LiftstrataError`` for a text that is not understood.
    read_date : the day that a text says, given "ymd", "dmy" or "mdy" and the year of dates without
        one; None when it is no day, or a day to come.
    resolve_name : the exercise that a name means.
    tidy_file : the file as it is read with the drafted map.
    survey_notes : notes as they show before their map is known.
    """

    parse_sets: Callable[[str, str, str], Sequence[SetLike]]
    read_date: Callable[[str, str, int | None], date | None]
    resolve_name: Callable[[str], NameLike]
    tidy_file: Callable[[RawFile], TidyLike]
    survey_notes: Callable[[RawFile], NotesLike]

    def knows(self, name: str) -> bool:
        """The name means an exercise."""
        return self.resolve_name(name).exercise_id is not None


@dataclass(frozen=True)
class Question:
    """Something that the file does not settle.

    ``key`` is the place in the map ("dates.order") and the key of its answer; ``choices`` are the
    possible answers, the one written into the draft first; ``why`` says what speaks for each.
    """

    key: str
    text: str
    choices: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class NameLine:
    """One exercise name of the file: how often it stands there, and what it was matched to."""

    written: str
    count: int
    match: NameLike


@dataclass(frozen=True)
class Draft:
    """A drafted map and everything it rests on.

    Parameters
    ----------
    toml : the commented map, valid as it stands.
    questions : what the file does not settle; empty when nothing is unsure.
    evidence : what was found and why, one sentence each.
    names : the exercises found, most frequent first.
    first_sets : the first rows of ``tidy_set`` as read with this map (empty for signals).
    first_signals : the first rows of ``tidy_signal`` (empty for sets).
    keys : the keys under which an answer about this file can be given.
    """

    toml: str
    questions: tuple[Question, ...]
    evidence: tuple[str, ...]
    names: tuple[NameLine, ...]
    first_sets: pl.DataFrame
    first_signals: pl.DataFrame
    keys: tuple[str, ...]


@dataclass
class Notebook:
    """What is gathered while drafting: evidence, questions, and the answers given beforehand.

    ``keys`` are those under which an answer was looked for, given or not: the ones this file takes.
    """

    answers: dict[str, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    evidence: list[str] = field(default_factory=list)
    keys: set[str] = field(default_factory=set)

    def answer_to(self, key: str) -> str | None:
        """The answer given beforehand under a key; None without one."""
        return self.answers.get(self.takes(key))

    def takes(self, key: str) -> str:
        """The key, kept as one that this file takes."""
        self.keys.add(key)
        return key

    def note(self, sentence: str) -> None:
        """Keep a sentence of evidence."""
        self.evidence.append(sentence)

    def ask(
        self, key: str, text: str, choices: Sequence[str], why: str, is_free: bool = False
    ) -> str:
        """The answer given beforehand, else the first choice, with the question kept open.

        Raises
        ------
        SettingsError
            when the answer is none of the choices, unless any is taken (``is_free``).
        """
        answer = self.answer_to(key)
        if answer is None:
            self.questions.append(Question(key, text, tuple(choices), why))
            return choices[0]
        if not is_free and answer not in choices:
            known = " or ".join(repr(choice) for choice in choices)
            raise SettingsError(f"answer {key} = {answer!r}: write {known}")
        self.note(f"{key} = {answer}: as answered.")
        return answer
