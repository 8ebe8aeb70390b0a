"""``liftstrata inspect``: look at an unknown file, draft its map, ask only what is unsure."""

import json
import shlex
from collections.abc import Iterable
from datetime import date
from pathlib import Path

import polars as pl
from rich.console import Console
from rich.prompt import Prompt
from rich.table import Table
from rich.text import Text

from pipeline.core.errors import InputError, LiftstrataError, SettingsError
from pipeline.core.home import Home
from pipeline.core.settings import is_there
from pipeline.core.source import RawFile
from pipeline.reference import load_reference, read_own_exercises
from pipeline.sources.draft import Draft, draft_map
from pipeline.sources.draft_records import Question, Readers
from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import read_date
from pipeline.tidy.names import NameIndex, read_name_decisions
from pipeline.tidy.notation import Notation, parse_sets
from pipeline.tidy.notes.survey import survey_notes
from pipeline.tidy.tidy_file import TidyFile, tidy_file

SETS_SHOWN = 12
SHOWN_COLUMNS = ("session_date", "exercise_id", "load_kg", "reps", "rir", "load_as_written")


def inspect_file(file: Path, save: Path | None, told: list[str], *, as_json: bool = False) -> int:
    """Print what the file seems to be and the drafted map; write the map when asked to.

    Parameters
    ----------
    told : answers as KEY=VALUE, so that no question is asked.
    as_json : print one JSON object and ask nothing.

    Raises
    ------
    SettingsError
        when an answer is not KEY=VALUE, this file takes none under its key, or the map's place is
        taken.
    InputError
        when the file cannot be read.
    """
    if is_there(file) and not file.is_file() and not file.is_dir():
        value = "a link that leads nowhere, or a pipe"
        raise InputError(file.name, None, value, "give the path of a file")
    console = Console()
    readers = make_readers(_home_of(file))
    answers = dict(_read_answer(one) for one in told)
    draft = draft_map(file, readers, answers)
    named = _restore_quotes(answers, draft.questions)
    if named.keys() != answers.keys():
        answers, draft = named, draft_map(file, readers, named)
    _check_keys(answers, draft)
    while draft.questions and console.is_interactive and not as_json:
        answers |= {question.key: _ask(console, question) for question in draft.questions}
        draft = draft_map(file, readers, answers)
    if save is not None:
        _save(draft, save)
    if as_json:
        print(json.dumps(describe_draft(draft, save), ensure_ascii=False, default=str))
        return 0
    _show(console, draft)
    if save is not None:
        _tell_saved(console, draft, save)
    return 0


def describe_draft(draft: Draft, saved: Path | None) -> dict[str, object]:
    """What the file seems to be, of JSON's own types but for the days of its first rows."""
    return {
        "evidence": list(draft.evidence),
        "unmatched": [
            {"written": one.written, "count": one.count, "nearest": list(one.match.candidates)}
            for one in draft.names
            if one.match.exercise_id is None
        ],
        "first_rows": _first_rows(draft).to_dicts(),
        "questions": [
            {"key": one.key, "text": one.text, "why": one.why, "choices": list(one.choices)}
            for one in draft.questions
        ],
        "map": draft.toml,
        "saved": None if saved is None else str(saved),
    }


def make_readers(home: Home | None) -> Readers:
    """The readers of the tidy stage, with the names that the folder's owner decided on."""
    has_own = home is not None and home.own_exercises.exists()
    reference = load_reference(read_own_exercises(home.own_exercises) if home and has_own else None)
    decisions = read_name_decisions(home.name_decisions) if home else {}
    names = NameIndex.from_reference(reference.aliases, reference.exercises, decisions)
    today = date.today()

    def read_day(text: str, order: str, year: int | None) -> date | None:
        try:
            return read_date(text, order, year, today)
        except CellError:
            return None

    def read_tidy(raw: RawFile) -> TidyFile:
        return tidy_file(raw, names=names, exercises=reference.exercises, today_limit=today)

    return Readers(
        parse_sets=lambda text, order, decimal: parse_sets(
            text, Notation(order, decimal, "per side")
        ),
        read_date=read_day,
        resolve_name=names.resolve,
        tidy_file=read_tidy,
        survey_notes=lambda raw: survey_notes(raw, today, names, reference.exercises),
    )


def _home_of(file: Path) -> Home | None:
    """The folder whose inbox the file lies in, if it lies in one."""
    parents = file.resolve().parents
    return next((Home(one) for one in parents if (one / "settings.toml").exists()), None)


def _read_answer(text: str) -> tuple[str, str]:
    key, separator, value = text.partition("=")
    if not separator:
        raise SettingsError(f"--answer {text}: write it as KEY=VALUE")
    return key.strip(), value.strip()


def _restore_quotes(answers: dict[str, str], questions: Iterable[Question]) -> dict[str, str]:
    """Keys as the questions have them: a shell takes the quotes off ``signals."HRV"``."""
    keys = {question.key.replace('"', ""): question.key for question in questions}
    return {keys.get(key, key): value for key, value in answers.items()}


def _check_keys(answers: dict[str, str], draft: Draft) -> None:
    """An answer that nothing looked for would be dropped without a word."""
    unknown = next((key for key in answers if key not in draft.keys), None)
    if unknown is not None:
        possible = " or ".join(draft.keys) or "none: this file leaves nothing open"
        raise SettingsError(
            f"--answer {unknown}: this file takes no such answer: possible is {possible}"
        )


def _ask(console: Console, question: Question) -> str:
    console.print(f"\n{question.why}", markup=False, highlight=False)
    choices = list(question.choices) or None
    return Prompt.ask(question.text, console=console, choices=choices)


def _show(console: Console, draft: Draft) -> None:
    for line in draft.evidence:
        console.print(f"- {line}", markup=False, highlight=False, soft_wrap=True)
    _show_unmatched(console, draft)
    _show_rows(console, draft)
    for question in draft.questions:
        choices = " | ".join(map(shlex.quote, question.choices))
        answer = f"--answer {shlex.quote(question.key)}={choices}"  # to be pasted into a shell
        told = f"unsure: {question.text} ({question.why}) {answer}"
        console.print(told, markup=False, highlight=False, soft_wrap=True)
    console.print("\n" + draft.toml, markup=False, highlight=False, soft_wrap=True)


def _show_unmatched(console: Console, draft: Draft) -> None:
    for line in draft.names:
        if line.match.exercise_id is None:
            near = ", ".join(line.match.candidates)
            told = f"  not recognised: {line.written!r}, {line.count} times; nearest: {near}"
            console.print(told, markup=False, highlight=False, soft_wrap=True)


def _first_rows(draft: Draft) -> pl.DataFrame:
    """The first sets as understood, else the first readings."""
    frame = draft.first_sets if draft.first_sets.height else draft.first_signals
    columns = [name for name in SHOWN_COLUMNS if name in frame.columns] or frame.columns[:6]
    return frame.select(columns).head(SETS_SHOWN)


def _show_rows(console: Console, draft: Draft) -> None:
    rows = _first_rows(draft)
    if rows.is_empty():
        return
    table = Table(*rows.columns, title="the first rows as understood", title_justify="left")
    for row in rows.iter_rows():
        table.add_row(*(Text(_say_cell(value)) for value in row))
    console.print(table)


def _say_cell(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def _save(draft: Draft, save: Path) -> None:
    if save.exists():
        raise SettingsError(
            f"{save}: exists: edit it, choose another name, or remove it and save again"
        )
    try:
        save.parent.mkdir(parents=True, exist_ok=True)
        save.write_text(draft.toml, "utf-8")
    except OSError as error:
        raise LiftstrataError(f"{save}: {error.strerror}: choose another place") from error


def _tell_saved(console: Console, draft: Draft, save: Path) -> None:
    console.print(f"wrote {save}", markup=False, highlight=False, soft_wrap=True)
    if draft.questions:
        unsure = ", ".join(question.key for question in draft.questions)
        told = f"not settled, read as the map has it until you correct the lines UNSURE: {unsure}"
        console.print(told, markup=False, highlight=False, soft_wrap=True)
