"""The journal: what is read, what is refused, and that the documented example works."""

import textwrap
from datetime import date

import pytest

from pipeline.core.dictionary import columns_of, schema_of
from pipeline.core.errors import SettingsError
from pipeline.core.json_schema import load_schema
from pipeline.tidy import journal
from pipeline.tidy.journal import event_id_of, read_journal


def write(tmp_path, text: str):
    path = tmp_path / "rowan.toml"
    path.write_text(text, "utf-8")
    return path


def test_the_documented_example_is_read(tmp_path):
    example = textwrap.dedent(journal.__doc__.split("::\n\n")[1].split("Kinds:")[0])
    rows = read_journal(write(tmp_path, example), "rowan").to_dicts()
    assert [row["kind"] for row in rows] == ["priority", "injury"]
    first, second = rows
    assert (first["start"], first["end"]) == (date(2024, 3, 4), date(2024, 5, 12))
    assert first["subject"] == "calves hamstrings"
    assert first["note"] == "bring the lower leg up"
    assert first["evidence"] == "told"
    assert second["end"] is None
    assert (second["lifts_out"], second["regions"]) == ("back_squat", "knee")


def test_the_table_is_that_of_the_dictionary(tmp_path):
    frame = read_journal(
        write(tmp_path, '[[event]]\nkind = "deload"\nstart = 2024-03-04\n'), "rowan"
    )
    assert dict(frame.schema) == schema_of("tidy_event")
    assert frame["subject"].to_list() == [None]


@pytest.mark.parametrize("text", ["", "# nothing yet\n", "schema = 1\n"])
def test_an_empty_journal_has_no_events(tmp_path, text):
    frame = read_journal(write(tmp_path, text), "rowan")
    assert frame.height == 0
    assert dict(frame.schema) == schema_of("tidy_event")


def test_documented_kinds_are_those_of_dictionary_and_schema():
    kinds = next(c.values for c in columns_of("tidy_event") if c.name == "kind")
    event = load_schema("pipeline.tidy", "journal.schema.json")["properties"]["event"]
    assert tuple(event["items"]["properties"]["kind"]["enum"]) == kinds
    assert f"Kinds: {', '.join(kinds)}." in journal.__doc__.replace("\n", " ")


def test_an_event_keeps_its_id_when_its_end_or_reason_changes(tmp_path):
    short = '[[event]]\nkind = "layoff"\nstart = 2024-03-04\nsubject = ["b", "a"]\n'
    long = short.replace('"b", "a"', '"a", "b"') + 'end = 2024-04-01\nwhy = "travel"\n'
    ids = {
        read_journal(write(tmp_path, text), "rowan")["event_id"].item() for text in (short, long)
    }
    assert ids == {event_id_of("rowan", "layoff", date(2024, 3, 4), "a b")}
    assert event_id_of("other", "layoff", date(2024, 3, 4), "a b") not in ids


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (
            'kind = "delaod"\nstart = 2024-03-04',
            r'kind = "delaod": no such kind: did you mean deload\?',
        ),
        ('kind = "deload"\nstart = 2024-03-04\nsubjct = ["a"]', r"subjct: did you mean subject\?"),
        ('kind = "deload"', r"event\[1\]\.start is missing: add it"),
        ('kind = "deload"\nstart = "March"', "a date without quotes, e.g. 2024-03-04"),
        ('kind = "deload"\nstart = "2024-02-31"', "no such day"),
        ('kind = "deload"\nstart = 2024-02-31', "not valid TOML"),
        (
            'kind = "deload"\nstart = 2024-03-04\nsubject = "calves"',
            r'a list of ids, e.g. \["calves"',
        ),
        ('kind = "deload"\nstart = 2024-03-04\nsubject = ["my calves"]', "one id without spaces"),
        ('kind = "deload"\nstart = 2024-03-04\nevidence = "rule"', "told"),
        (
            'kind = "deload"\nstart = 2024-03-04\nend = 2024-03-01',
            r"event\[1\]: end 1 Mar 2024 is before start 4 Mar 2024",
        ),
        (
            'kind = "deload"\nstart = 2024-03-04\n[[event]]\nkind = "deload"\nstart = 2024-03-04',
            r"event\[2\] tells the same kind, start and subject as event\[1\]",
        ),
    ],
)
def test_a_wrong_journal_is_one_plain_line(tmp_path, line, message):
    with pytest.raises(SettingsError, match=message) as caught:
        read_journal(write(tmp_path, f"[[event]]\n{line}\n"), "rowan")
    assert "rowan.toml" in str(caught.value)
    assert "\n" not in str(caught.value)
