"""Events added to a journal by a command: what stood there stands, what is not valid is refused."""

import tomllib
from datetime import date

import pytest

from pipeline.core.errors import SettingsError
from pipeline.tidy.journal_edit import add_events

EVENT = {
    "kind": "priority",
    "start": date(2024, 3, 4),
    "end": date(2024, 5, 12),
    "subject": ["calves", "hamstrings"],
    "why": "plan",
    "evidence": "accepted",
}
OLD = b"""# my journal
schema = 1   # of the first version

[[event]]  # before the holiday
start = 2024-01-01
kind = "deload"
# the end
"""


@pytest.mark.parametrize("ends", [b"\n", b"\r\n"])
def test_comments_order_and_line_ends_survive(tmp_path, ends):
    path = tmp_path / "larch.toml"
    old = OLD.replace(b"\n", ends)
    path.write_bytes(old)
    add_events(path, "larch", [EVENT])
    data = path.read_bytes()
    assert data.startswith(old)
    assert data.count(b"\r\n") == (0 if ends == b"\n" else data.count(b"\n"))
    assert tomllib.loads(data.decode())["event"][1] == EVENT
    assert list(tmp_path.iterdir()) == [path]


def test_a_journal_is_made_where_there_is_none(tmp_path):
    path = tmp_path / "journal" / "larch.toml"
    add_events(path, "larch", [EVENT, EVENT | {"kind": "hold"}])
    assert [one["kind"] for one in tomllib.loads(path.read_text())["event"]] == ["priority", "hold"]


@pytest.mark.parametrize(
    ("old", "event", "says"),
    [
        (OLD, EVENT | {"kind": "priorty"}, "did you mean priority"),
        (OLD, EVENT | {"start": date(2024, 6, 1)}, "is before start"),
        (OLD, {"kind": "deload", "start": date(2024, 1, 1)}, r"tells the same .* as event\[1\]"),
        (b"event = 3\n", EVENT, "a block"),
        (b"event = [\n", EVENT, "not valid TOML"),
    ],
)
def test_what_would_not_be_valid_leaves_the_journal_as_it_was(tmp_path, old, event, says):
    path = tmp_path / "larch.toml"
    path.write_bytes(old)
    with pytest.raises(SettingsError, match=says):
        add_events(path, "larch", [event])
    assert path.read_bytes() == old
    assert list(tmp_path.iterdir()) == [path]


def test_blocks_that_are_added_together_stand_apart(tmp_path):
    path = tmp_path / "larch.toml"
    events = [
        {"kind": kind, "start": date(2024, 3, 4), "subject": ["calves"]}
        for kind in ("priority", "hold")
    ]
    add_events(path, "larch", events)
    text = path.read_text("utf-8")
    assert text.count("\n\n[[event]]") == 1
    assert text.endswith('subject = ["calves"]\n')
