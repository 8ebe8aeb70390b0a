"""Accepting a proposed phase: the journal keeps its comments and gains one event, once."""

from datetime import date

import polars as pl
import pytest

from pipeline.cli.accept import accept
from pipeline.core.dictionary import conform
from pipeline.core.errors import SettingsError
from pipeline.core.home import WAREHOUSE, Home
from pipeline.findings.priorities.propose import proposal_id_of
from pipeline.store.warehouse import add_tables
from pipeline.tidy.journal import read_journal

START, END = date(2024, 3, 4), date(2024, 5, 12)
SUBJECT = "calves hamstrings"
WANTED = proposal_id_of("larch", START, END, SUBJECT)
JOURNAL = """\
# Larch's journal; this line stays.
[[event]]
kind = "deload"   # an easy one
start = 2024-01-08
end = 2024-01-14
"""


@pytest.fixture
def home(tmp_path) -> Home:
    """A folder whose published run proposes one phase."""
    made = Home(tmp_path)
    run = made.published / "run"
    run.mkdir(parents=True)
    row = {
        "lifter_id": "larch",
        "proposal_id": WANTED,
        "kind": "priority",
        "start": START,
        "end": END,
        "subject": SUBJECT,
        "factor": 2.1,
        "sentence": "a priority phase?",
        "command": f"liftstrata accept {WANTED}",
    }
    add_tables(run / WAREHOUSE, {"tidy_proposal": conform("tidy_proposal", pl.DataFrame([row]))})
    made.current.symlink_to(run)
    made.journal.mkdir()
    (made.journal / "larch.toml").write_text(JOURNAL, "utf-8")
    return made


def journal_of(home):
    return home.journal / "larch.toml"


def test_it_becomes_an_event_and_the_rest_stays_as_written(home, capsys):
    accept(home.root, WANTED)
    text = journal_of(home).read_text("utf-8")
    assert text.startswith(JOURNAL)
    told = read_journal(journal_of(home), "larch").filter(kind="priority").row(0, named=True)
    assert (told["start"], told["end"], told["subject"]) == (START, END, SUBJECT)
    assert told["evidence"] == "accepted"
    assert "4 Mar 2024 to 12 May 2024" in capsys.readouterr().out


def test_a_folder_without_a_journal_gets_one(home):
    journal_of(home).unlink()
    accept(home.root, WANTED)
    assert read_journal(journal_of(home), "larch")["evidence"].to_list() == ["accepted"]


def test_it_is_accepted_once(home):
    accept(home.root, WANTED)
    before = journal_of(home).read_bytes()
    with pytest.raises(SettingsError, match="accepted before"):
        accept(home.root, WANTED)
    assert journal_of(home).read_bytes() == before


def test_an_unknown_id_is_answered_with_the_nearest(home):
    slip = WANTED[:-1] + ("0" if WANTED[-1] != "0" else "1")
    with pytest.raises(SettingsError, match=f"did you mean {WANTED}"):
        accept(home.root, slip)


def test_a_phase_told_since_is_not_told_twice(home):
    more = '\n[[event]]\nkind = "priority"\nstart = 2024-04-01\nsubject = ["calves"]\n'
    journal_of(home).write_text(JOURNAL + more, "utf-8")
    with pytest.raises(SettingsError, match="changed since it was proposed"):
        accept(home.root, WANTED)
    assert journal_of(home).read_text("utf-8") == JOURNAL + more


def test_nothing_published_is_said(tmp_path):
    with pytest.raises(SettingsError, match="nothing is published"):
        accept(tmp_path, WANTED)


def test_the_id_changes_with_the_weeks_and_not_from_night_to_night():
    assert proposal_id_of("larch", START, END, SUBJECT) == WANTED
    assert proposal_id_of("larch", START, date(2024, 5, 19), SUBJECT) != WANTED
