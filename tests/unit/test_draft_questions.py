"""Map drafting: what a file leaves open is asked, and what cannot be drafted is refused."""

from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.core.errors import InputError, LiftstrataError, SettingsError
from pipeline.sources.draft import draft_map
from pipeline.sources.draft_records import Readers
from tests.unit.drafting import (
    days,
    draft,
    european_table,
    sets_table,
    shorthand_table,
    small_readers,
    wearable_table,
    write,
)


@pytest.fixture(scope="module")
def readers() -> Readers:
    """Readers that know a handful of exercises."""
    return small_readers()


def test_an_ambiguous_date_order_is_asked(tmp_path, readers):
    text = "Date,Exercise,Weight (kg),Reps\n" + "".join(
        f"0{m}/0{m}/2024,Back squat,100,5\n" for m in range(1, 7)
    )
    path = write(tmp_path, text)
    drafted, _ = draft(path, readers)
    (question,) = drafted.questions
    assert question.key == "dates.order"
    assert set(question.choices) == {"dmy", "mdy"}
    assert "UNSURE: In which order are the dates written?" in drafted.toml
    answered, one = draft(path, readers, {"dates.order": "mdy"})
    assert answered.questions == ()
    assert one.date_order == "mdy"
    assert "UNSURE" not in answered.toml


def test_month_first_is_found_with_its_evidence(tmp_path, readers):
    text = shorthand_table("%m/%d/%Y")
    drafted, one = draft(write(tmp_path, text), readers)
    assert one.date_order == "mdy"
    assert "in position 2" in " ".join(drafted.evidence)


def test_an_unknown_unit_is_asked(tmp_path, readers):
    text = "Date,Exercise,Weight,Reps\n" + "".join(
        f"2024-01-{day:02d},Leg press,{150 + 10 * (day % 2)},10\n" for day in range(1, 20)
    )
    drafted, _ = draft(write(tmp_path, text), readers)
    assert [question.key for question in drafted.questions] == ["units.load"]
    assert "certainty" in drafted.questions[0].why
    _, one = draft(write(tmp_path, text), readers, {"units.load": "lb"})
    assert one.unit == "lb"


@pytest.mark.parametrize("kind", ["notes", "exercises", "sets"])
def test_plates_without_a_side_are_asked_about(tmp_path, readers, kind):
    when = days(12)
    texts = {
        "notes": "\n".join(f"{day}\nBack squat 2 plates x 5\nBench press 62.5x5\n" for day in when),
        "exercises": "Date,Lift,Sets\n"
        + "\n".join(f"{day},Back squat,2 plates x 5\n{day},Bench press,62.5x5" for day in when),
        "sets": "Date,Lift,Load,Reps\n"
        + "\n".join(f"{day},Back squat,2 plates,5\n{day},Bench press,62.5,5" for day in when),
    }
    path = write(tmp_path, texts[kind], "log.txt" if kind == "notes" else "log.csv")
    answers = {"units.load": "kg"}
    drafted, one = draft(path, readers, answers)
    keys = ["load.plates", "load.plate_kg", "load.bar_kg"]
    assert [question.key for question in drafted.questions] == keys
    assert (one.plates, one.plate_kg, one.bar_kg) == (None, None, 20.0)
    assert drafted.first_sets["exercise_id"].unique().to_list() == ["bench_press"]
    answers |= {"load.plates": "per side", "load.plate_kg": "15", "load.bar_kg": "10"}
    drafted, one = draft(path, readers, answers)
    assert drafted.questions == ()
    assert (one.plates, one.plate_kg, one.bar_kg) == ("per side", 15.0, 10.0)
    assert drafted.first_sets["load_kg"].to_list()[:2] == [70, 62.5]
    with pytest.raises(SettingsError, match="write kilograms, above 0 to 50"):
        draft(path, readers, answers | {"load.plate_kg": "heavy"})


def test_pound_plates_are_recognised(tmp_path, readers):
    loads = (135, 155, 185, 205, 225, 245, 275, 295, 315)
    text = "Date,Exercise,Weight,Reps\n" + "".join(
        f"2024-02-{day:02d},Back squat,{load},5\n" for day, load in enumerate(loads, 1)
    )
    drafted, one = draft(write(tmp_path, text), readers)
    assert one.unit == "lb"
    assert "plate arithmetic pounds" in " ".join(drafted.evidence)


def test_a_label_that_the_loads_contradict_is_asked(tmp_path, readers):
    text = european_table().replace("Gewicht", "Gewicht (kg)")
    drafted, one = draft(write(tmp_path, text), readers)
    assert [question.key for question in drafted.questions] == ["units.changes"]
    assert one.unit_changes == ((date(2024, 2, 20), "kg"),)
    _, kept = draft(write(tmp_path, text), readers, {"units.changes": "kg throughout"})
    assert (kept.unit, kept.unit_changes) == ("kg", ())


def test_an_unnamed_hrv_metric_is_asked(tmp_path, readers):
    text = wearable_table().replace("HRV (RMSSD) [ms]", "HRV")
    drafted, _ = draft(write(tmp_path, text), readers)
    assert [question.key for question in drafted.questions] == ['signals."HRV"']
    lines = drafted.toml.splitlines()
    assert lines[lines.index('[signals."HRV"]') - 2].startswith("# UNSURE: Which metric is 'HRV'?")
    _, one = draft(write(tmp_path, text), readers, {'signals."HRV"': "hrv_sdnn_ms"})
    assert "hrv_sdnn_ms" in [column.signal for column in one.signals]


def test_three_number_tokens_are_asked_or_inferred(tmp_path, readers):
    def table(cells: list[str]) -> str:
        rows = [f"{day},Back squat,{cell}" for day, cell in zip(days(40), cells, strict=False)]
        return "Date,Exercise,Sets\n" + "\n".join(rows) + "\n"

    plain = [f"{70 + 2.5 * (i % 5)}x{10 + i % 3}x3" for i in range(20)]
    drafted, one = draft(write(tmp_path, table(plain)), readers)
    assert one.notation_order == "load x reps x sets; load x reps"
    assert drafted.questions == ()
    unclear = [f"{72.5 + 5 * (i % 5)}x5x4" for i in range(20)]
    drafted, _ = draft(write(tmp_path, table(unclear)), readers)
    assert [question.key for question in drafted.questions] == ["notation.order"]
    assert "72.5 x 5" in drafted.questions[0].why
    answer = {"notation.order": "load x sets x reps; load x reps"}
    _, one = draft(write(tmp_path, table(unclear)), readers, answer)
    assert one.notation_order == answer["notation.order"]


def test_columns_known_by_their_contents_are_told_or_asked(tmp_path, readers):
    text = sets_table().replace("Weight (kg)", "A").replace("Reps", "B").replace("Date", "C")
    drafted, one = draft(write(tmp_path, text), readers)
    assert drafted.questions == ()
    assert (one.columns["date"], one.columns["reps"], one.columns["load"]) == ("C", "B", "A")
    assert "No label says repetitions; by its numbers it may be 'B'" in " ".join(drafted.evidence)
    twice = "\n".join(f"{line},{'D' if i == 0 else 7}" for i, line in enumerate(text.split("\n")))
    asked, _ = draft(write(tmp_path, twice), readers)
    assert [q.key for q in asked.questions] == ["columns.reps", "columns.load"]
    answers = {"columns.reps": "B", "columns.load": "A"}
    _, answered = draft(write(tmp_path, twice), readers, answers)
    assert (answered.columns["reps"], answered.columns["load"]) == ("B", "A")


NO_YEAR = "Date,Exercise,Weight,Reps\n1.2.,Back squat,100,5\n3.2.,Back squat,100,5\n"
NO_DATE = "Exercise,Weight,Reps\nBack squat,100,5\nBench press,60,5\n"
NO_LIFT = "Date,Mood\n2024-01-01,fine\n2024-01-02,bad\n"
NOT_DONE = "Date,Exercise,Remarks\n2024-01-01,Back squat,fine\n2024-01-02,Back squat,fine\n"


@pytest.mark.parametrize(
    ("text", "name", "message"),
    [
        ('{"sets": []}', "log.json", "no records in it"),
        ("<html></html>", "log.html", "looks like a page or XML"),
        ("squat 3x8\nbench 3x5\n", "notes.txt", "neither a table .* nor notes .no line is a date"),
        ("2024-01-01,100,5\n2024-01-02,100,5\n", "log.csv", "no line of labels found"),
        ("", "log.csv", "empty file"),
        (NO_YEAR, "log.csv", "lack the year"),
        (NO_DATE, "log.csv", "no column of dates"),
        (NO_LIFT, "log.csv", "none is an exercise or a signal"),
        (NOT_DONE, "log.csv", "nothing says what was done"),
    ],
)
def test_what_cannot_be_drafted_is_refused_with_the_reason(tmp_path, readers, text, name, message):
    with pytest.raises(InputError, match=message) as caught:
        draft_map(write(tmp_path, text, name), readers)
    assert name in str(caught.value)
    assert "\n" not in str(caught.value)


def test_binary_and_missing_files_are_refused(tmp_path, readers):
    path = tmp_path / "log.xlsx"
    path.write_bytes(b"PK\x03\x04" + bytes(200))
    with pytest.raises(InputError, match="spreadsheet"):
        draft_map(path, readers)
    with pytest.raises(InputError, match="No such file"):
        draft_map(tmp_path / "none.csv", readers)


CUTS = st.tuples(
    st.integers(0, 2_000),
    st.integers(0, 30),
    st.sampled_from(["", ";", ",", "\n", '"', "x", "@", "\x00", "9" * 30, "-", "[", "\t", "nan"]),
)


@settings(
    max_examples=60, deadline=5_000, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.integers(0, 3), st.lists(CUTS, max_size=8))
def test_a_damaged_file_is_drafted_or_refused_in_one_line(tmp_path, readers, which, cuts):
    tables = (sets_table(), shorthand_table(), european_table(), wearable_table())
    text = tables[which][:2_000]
    for at, length, new in cuts:
        text = text[:at] + new + text[at + length :]
    path = write(tmp_path, text)
    try:
        drafted, _ = draft(path, readers)
    except LiftstrataError as error:
        drafted = None
        message = str(error)
    assert drafted is not None or ("\n" not in message and len(message) < 1_000)
