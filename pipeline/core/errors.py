"""Errors and refusals that a person can act on.

Every message gives the value, the limit it met and the remedy. An error stops one file or one
command; a refusal is an answer ("the record cannot show this yet") and is never raised.
"""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from pipeline.core.counted import say_count

# Longer messages are cut in the middle: the place stands in front, the remedy at the end.
MOST_SHOWN = 400

# What a refusal counts, where more of it comes by going on: weeks of the calendar, weeks with
# training, comparisons of blocks. The words of ``Refusal.of_what`` are for people only.
Counted = Literal["weeks", "trained weeks", "comparisons", "other"]


class LiftstrataError(Exception):
    """Base of every error that the command line shows as one plain line."""


class SettingsError(LiftstrataError):
    """A file that the user owns (settings, map, journal, corrections) cannot be used as it is."""


class BusyError(LiftstrataError):
    """Another refresh of the same folder is running."""


class EngineError(LiftstrataError):
    """The checking or database engine itself failed; says nothing about the data."""


class NothingReadError(LiftstrataError):
    """The inbox gave no record at all while there are pages of an earlier run: those stand."""


class InputError(LiftstrataError):
    """A source file, or a row of it, cannot be read.

    Parameters
    ----------
    file : the file as the user knows it (its path inside the inbox).
    row : 1-based line number, or None when the whole file is meant.
    value : the text that could not be used, shortened by the caller if it is long.
    remedy : what the user can do about it, in one clause.
    """

    def __init__(self, file: str, row: int | None, value: str, remedy: str) -> None:
        self.file, self.row, self.value, self.remedy = file, row, value, remedy
        where = file if row is None else f"{file} line {row}"
        super().__init__(f"{where}: {value}: {remedy}")


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like ``word``, for "did you mean"; ``known`` must not be empty."""
    return difflib.get_close_matches(word, list(known), n=1, cutoff=0.0)[0]


@dataclass(frozen=True)
class Refusal:
    """What a model returns when the record cannot carry an answer.

    Parameters
    ----------
    has, needs : what is there and the least that is needed, in the unit named by ``of_what``.
    of_what : what is counted, plural, e.g. "weeks with this lift".
    remedy : what would make the answer possible, as a clause ("more logged weeks of the lift").
    is_most : ``needs`` is the most that can be answered, not the least.
    counted : what is counted, for programs.
    """

    has: float
    needs: float
    of_what: str
    remedy: str
    is_most: bool = False
    counted: Counted = "other"

    @property
    def why(self) -> str:
        """Value and limit."""
        limit = f"{self.needs:g} at most" if self.is_most else f"{self.needs:g} needed"
        return f"{say_count(self.has, self.of_what)}, {limit}"

    def sentence(self) -> str:
        """The refusal in words: value, limit, remedy."""
        return f"{'Too much' if self.is_most else 'Not enough'}: {self.why}; {self.remedy}."


def one_line(text: str) -> str:
    """``text`` as one short line that no terminal takes for a command.

    What people put into files and file names may hold line breaks, escape codes, marks that turn
    the direction of reading, or bytes that are no text.
    """
    shown = "".join(char if char.isprintable() else ascii(char)[1:-1] for char in text)
    if len(shown) <= MOST_SHOWN:
        return shown
    return f"{shown[: MOST_SHOWN // 2]} ... {shown[-MOST_SHOWN // 2 :]}"
