"""Accepting a proposed phase: the journal keeps its comments and gains one event, once."""

import json
from datetime import date

import polars as pl
import pytest

from pipeline.cli.accept import accept
from pipeline.core.dictionary import conform
from pipeline.core.errors import SettingsError
from pipeline.core.home import WAREHOUSE, Home
from pipeline.findings.priorities.propose import proposal_id_of
from pipeline.sources.snapshot import list_inbox
from pipeline.store.warehouse import add_tables
from pipeline.tidy.journal import read_journal

START, END = date(2024, 3, 4), date(2024, 5, 12)
SUBJECT = "calves hamstrings"
WANTED = proposal_id_of("larch", START, END, SUBJECT)
LOG = "day,lift,reps\n"
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
    made.settings.write_text("schema = 1\n[lifter.larch]\ntraining_began = 2014-03-01\n", "utf-8")
    made.journal.mkdir()
    (made.journal / "larch.toml").write_text(JOURNAL, "utf-8")
    (made.inbox / "larch").mkdir(parents=True)
    (made.inbox / "larch" / "log.csv").write_text(LOG, "utf-8")
    counts = dict.fromkeys(("read", "kept", "repeated", "set_aside", "blank"), 0)
    files = [
        {
            "file_id": one.file_id,
            "lifter_id": one.lifter_id,
            "path": one.path,
            "sha256": one.sha256,
            "counts_as": "row",
            **counts,
        }
        for one in list_inbox(made)
    ]
    tables = {
        "tidy_proposal": conform("tidy_proposal", pl.DataFrame([row])),
        "source_file": conform("source_file", pl.DataFrame(files)),
        "tidy_event": read_journal(made.journal / "larch.toml", "larch"),
    }
    add_tables(run / WAREHOUSE, tables)
    made.current.symlink_to(run)
    return made


def journal_of(home):
    return home.journal / "larch.toml"


def test_it_becomes_an_event_and_the_rest_stays_as_written(home, capsys):
    accept(home.root, WANTED, END)
    text = journal_of(home).read_text("utf-8")
    assert text.startswith(JOURNAL)
    told = read_journal(journal_of(home), "larch").filter(kind="priority").row(0, named=True)
    assert (told["start"], told["end"], told["subject"]) == (START, END, SUBJECT)
    assert told["evidence"] == "accepted"
    assert "4 Mar 2024 to 12 May 2024" in capsys.readouterr().out


def test_it_says_what_was_written_as_json(home, capsys):
    accept(home.root, WANTED, END, as_json=True)
    told = json.loads(capsys.readouterr().out)
    assert (told["proposal"], told["lifter"]) == (WANTED, "larch")
    assert told["journal"] == "journal/larch.toml"
    (event,) = told["events"]
    assert (event["kind"], event["start"], event["end"]) == ("priority", str(START), str(END))


def test_it_is_accepted_once(home):
    accept(home.root, WANTED, END)
    before = journal_of(home).read_bytes()
    with pytest.raises(SettingsError, match="accepted before"):
        accept(home.root, WANTED, END)
    assert journal_of(home).read_bytes() == before


def test_an_unknown_id_is_answered_with_the_nearest(home):
    slip = WANTED[:-1] + ("0" if WANTED[-1] != "0" else "1")
    with pytest.raises(SettingsError, match=f"did you mean {WANTED}"):
        accept(home.root, slip, END)


def test_a_phase_told_since_is_not_told_twice(home):
    more = '\n[[event]]\nkind = "priority"\nstart = 2024-04-01\nsubject = ["calves"]\n'
    journal_of(home).write_text(JOURNAL + more, "utf-8")
    with pytest.raises(SettingsError, match="changed since it was proposed"):
        accept(home.root, WANTED, END)
    assert journal_of(home).read_text("utf-8") == JOURNAL + more


OTHER = '\n[[event]]\nkind = "deload"\nstart = 2024-06-03\nend = 2024-06-09\n'


def more_sets(home):
    (home.inbox / "larch" / "log.csv").write_text(f"{LOG}2024-06-03,squat,5\n", "utf-8")


def two_new_files(home):
    for name in ("june.csv", "july.csv"):
        (home.inbox / "larch" / name).write_text(LOG, "utf-8")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (more_sets, "inbox/larch/log.csv changed"),
        (lambda home: (home.inbox / "larch" / "log.csv").unlink(), "inbox/larch/log.csv is gone"),
        (two_new_files, "inbox/larch/july.csv is new, inbox/larch/june.csv is new"),
        (
            lambda home: journal_of(home).write_text(JOURNAL + OTHER, "utf-8"),
            "journal/larch.toml changed",
        ),
        (lambda home: journal_of(home).unlink(), "journal/larch.toml changed"),
    ],
)
def test_a_record_that_changed_since_is_refreshed_first(home, change, says):
    change(home)
    before = journal_of(home).read_bytes() if journal_of(home).exists() else None
    with pytest.raises(SettingsError, match=f"{says}.*run 'liftstrata refresh'"):
        accept(home.root, WANTED, END)
    after = journal_of(home).read_bytes() if journal_of(home).exists() else None
    assert after == before


def test_other_lifters_comments_and_what_was_accepted_change_nothing(home):
    (home.inbox / "birch").mkdir()
    (home.inbox / "birch" / "log.csv").write_text(LOG, "utf-8")
    accepted = OTHER.replace("deload", "hold") + 'evidence = "accepted"\n'
    journal_of(home).write_text(f"# A remark.\n{JOURNAL}{accepted}", "utf-8")
    accept(home.root, WANTED, END)
    assert read_journal(journal_of(home), "larch").height == 3


def test_nothing_published_is_said(tmp_path):
    with pytest.raises(SettingsError, match="nothing is published"):
        accept(tmp_path, WANTED, END)


def test_the_id_changes_with_the_weeks_and_not_from_night_to_night():
    assert proposal_id_of("larch", START, END, SUBJECT) == WANTED
    assert proposal_id_of("larch", START, date(2024, 5, 19), SUBJECT) != WANTED
