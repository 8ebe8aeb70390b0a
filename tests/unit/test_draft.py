"""Map drafting on small invented files: right maps, their evidence, questions and refusals."""

from collections.abc import Mapping
from datetime import date, timedelta
from fnmatch import fnmatch
from pathlib import Path
from tempfile import TemporaryDirectory

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.core.dictionary import conform
from pipeline.core.errors import InputError, LiftstrataError
from pipeline.core.source import RawFile, SourceMap
from pipeline.reference import load_reference
from pipeline.sources.draft import draft_map
from pipeline.sources.draft_records import Draft, Readers
from pipeline.sources.maps import read_map
from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import read_date
from pipeline.tidy.names import NameIndex
from pipeline.tidy.notation import Notation, parse_sets
from pipeline.tidy.tidy_file import TidyFile, tidy_file

TODAY = date(2025, 6, 30)
EXERCISES = {
    "back_squat": ("Back squat", "barbell"),
    "bench_press": ("Bench press", "barbell"),
    "row": ("Barbell row", "barbell"),
    "pull_up": ("Pull-up", "body_weight"),
    "lateral_raise": ("Dumbbell lateral raise", "dumbbell"),
    "leg_press": ("Leg press", "machine"),
    "leg_curl": ("Leg curl", "machine"),
}
ALIASES = {"kniebeuge": "back_squat", "bankdrücken": "bench_press", "rudern": "row"}


def make_readers(aliases: pl.DataFrame, exercises: pl.DataFrame) -> Readers:
    names = NameIndex.from_reference(aliases, exercises, {})

    def read_day(text: str, order: str, year: int | None) -> date | None:
        try:
            return read_date(text, order, year, TODAY)
        except CellError:
            return None

    def read_file(raw: RawFile) -> TidyFile:
        return tidy_file(raw, names=names, exercises=exercises, today_limit=TODAY)

    return Readers(
        parse_sets=lambda text, order, decimal: parse_sets(text, Notation(order, decimal)),
        read_date=read_day,
        resolve_name=names.resolve,
        tidy_file=read_file,
    )


@pytest.fixture(scope="module")
def readers() -> Readers:
    """Readers that know a handful of exercises."""
    exercises = [
        {
            "exercise_id": key,
            "name": name,
            "equipment": equipment,
            "laterality": "bilateral",
            "default_load_basis": "added" if equipment == "body_weight" else "total",
        }
        for key, (name, equipment) in EXERCISES.items()
    ]
    aliases = [{"alias": alias, "exercise_id": key} for alias, key in ALIASES.items()]
    return make_readers(
        conform("ref_alias", pl.DataFrame(aliases)),
        conform("ref_exercise", pl.DataFrame(exercises)),
    )


@pytest.fixture(scope="module")
def shipped() -> Readers:
    """Readers that know the shipped exercises."""
    reference = load_reference()
    return make_readers(reference.aliases, reference.exercises)


def read_text(toml: str) -> SourceMap:
    """A drafted map as the refresh would read it."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "draft.toml"
        path.write_text(toml, "utf-8")
        return read_map(path)


def write(tmp_path: Path, text: str, name: str = "log.csv", encoding: str = "utf-8") -> Path:
    path = tmp_path / name
    path.write_text(text, encoding)
    return path


def draft(
    path: Path, readers: Readers, answers: Mapping[str, str] | None = None
) -> tuple[Draft, SourceMap]:
    """The draft, and its map as the refresh would read it."""
    drafted = draft_map(path, readers, answers)
    return drafted, read_text(drafted.toml)


def days(n: int, start: date = date(2024, 1, 3), step: int = 3) -> list[date]:
    return [start + timedelta(days=i * step) for i in range(n)]


def sets_table() -> str:
    rows = ["Date,Exercise,Set,Weight (kg),Reps,RIR,To failure,Drop of,Remarks"]
    for i, day in enumerate(days(12)):
        for n in range(1, 4):
            rows.append(f"{day},Back squat,{n},{100 + 2.5 * i},{9 - n},{3 - n},,,")
        rows.append(f"{day},Lateral raise,1,10,12,0,x,,good")
        rows.append(f"{day},Lateral raise,2,5,9,,,1,")
    return "\n".join(rows) + "\n"


def test_one_row_a_set(tmp_path, readers):
    drafted, one = draft(write(tmp_path, sets_table()), readers)
    assert drafted.questions == ()
    assert (one.kind, one.separator, one.decimal, one.unit) == ("sets", ",", ".", "kg")
    assert one.columns == {
        "date": "Date",
        "exercise": "Exercise",
        "set_no": "Set",
        "load": "Weight (kg)",
        "reps": "Reps",
        "rir": "RIR",
        "to_failure": "To failure",
        "drop_of": "Drop of",
        "note": "Remarks",
    }
    assert one.date_order == "ymd"
    assert "the label says so" in " ".join(drafted.evidence)
    first = drafted.first_sets.row(0, named=True)
    assert (first["exercise_id"], first["load_kg"], first["reps"]) == ("back_squat", 100.0, 8)


def shorthand_table(day_format: str = "%Y-%m-%d") -> str:
    rows = ["Date,Lift,What was done"]
    for i, day in enumerate(days(12)):
        when = day.strftime(day_format)
        load = 100 + 2.5 * i
        rows.append(f'{when},Back squat,"3x8@{load}, 1x6@{load + 5}"')
        rows.append(f'{when},Bench press,"{load - 20}x8,8,7"')
        rows.append(f"{when},Lateral raise,50x10 > 25x9 > 12.5x8")
        rows.append(f"{when},Pull-up,bw x 11")
    return "\n".join(rows) + "\n"


def test_one_row_an_exercise_in_shorthand(tmp_path, readers):
    drafted, one = draft(write(tmp_path, shorthand_table()), readers)
    assert drafted.questions == ()
    assert (one.kind, one.unit, one.decimal) == ("exercises", "kg", ".")
    assert one.columns == {"date": "Date", "exercise": "Lift", "sets": "What was done"}
    assert one.notation_order == "sets x reps @ load; load x reps"
    assert "plate arithmetic kilograms" in " ".join(drafted.evidence)
    assert drafted.first_sets.height == 20


def european_table(changed: date = date(2024, 2, 20)) -> str:
    rows = ["Datum;Übung;Satz;Gewicht;Wdh;Bemerkung"]
    for i, day in enumerate(days(40)):
        for lift, start in (("Kniebeuge", 80), ("Bankdrücken", 60), ("Rudern", 50)):
            load = start + 2.5 * (i // 2)
            if day < changed:
                load = 5 * round(load / 0.45359237 / 5)
            text = f"{load:g}".replace(".", ",")
            rows += [f"{day:%d.%m.%Y};{lift};{n};{text};8;" for n in (1, 2)]
    return "\n".join(rows) + "\n"


def test_a_european_file_with_a_change_of_unit(tmp_path, readers):
    drafted, one = draft(write(tmp_path, european_table(), encoding="cp1252"), readers)
    assert drafted.questions == ()
    assert (one.kind, one.separator, one.decimal) == ("sets", ";", ",")
    assert (one.date_order, one.encoding) == ("dmy", "cp1252")
    assert (one.unit, one.unit_changes) == ("lb", ((date(2024, 2, 20), "kg"),))
    assert one.columns["exercise"] == "Übung"
    told = " ".join(drafted.evidence)
    assert "a number above 12, such as day" in told
    assert "in position 1" in told
    assert "1 kg is 2.20 lb" in told
    assert set(drafted.first_sets["unit_as_written"]) == {"lb"}


def wide_table(year: int, labels: tuple[str, ...] = ("Squat back", "Benhc press")) -> str:
    rows = [f"Day,{labels[0]},{labels[1]},Body weight,Remarks"]
    for i, day in enumerate(days(30, date(year, 1, 4), 7)):
        load = 60 + 2.5 * (i % 8)
        rows.append(f"{day:%d/%m},{load}x8/8/7,{load - 20}x10/9,81.5,fine")
    return "\n".join(rows) + "\n"


def test_a_folder_of_yearly_wide_files(tmp_path, readers):
    folder = tmp_path / "inbox" / "ada" / "years"
    folder.mkdir(parents=True)
    write(folder, wide_table(2019).replace("Remarks", "Comment"), "training_2019.csv")
    drafted, one = draft(write(folder, wide_table(2020), "training_2020.csv"), readers)
    assert drafted.questions == ()
    assert (one.kind, one.date_order, one.year_from) == ("wide", "dmy", "file name")
    assert one.globs == ("years/training_*.csv",)
    assert one.skip_columns == ("Body weight", "Remarks", "Comment")
    assert one.notation_order == "load x reps"
    assert [line.match.exercise_id for line in drafted.names] == ["bench_press", "back_squat"]
    assert drafted.first_sets["session_date"].min() == date(2020, 1, 4)


def wearable_table() -> str:
    rows = ["Date;Sleep;Resting HR;HRV (RMSSD) [ms];Steps;Body weight (kg);Device;Moon"]
    for i, day in enumerate(days(30, step=1)):
        rows.append(
            f"{day:%d.%m.%Y};7:{i:02d};{50 + i % 5};{60 + i},5;{9000 + i};81,{i % 9};band A;new"
        )
    return "\n".join(rows) + "\n"


def test_a_nightly_wearable_table(tmp_path, readers):
    drafted, one = draft(write(tmp_path, wearable_table()), readers)
    assert drafted.questions == ()
    assert (one.kind, one.decimal, one.date_order) == ("signals", ",", "dmy")
    assert {c.label: (c.signal, c.unit) for c in one.signals} == {
        "Sleep": ("sleep_min", "h:mm"),
        "Resting HR": ("resting_hr_bpm", "bpm"),
        "HRV (RMSSD) [ms]": ("hrv_rmssd_ms", "ms"),
        "Steps": ("steps", "steps"),
        "Body weight (kg)": ("body_weight_kg", "kg"),
    }
    assert one.columns == {"date": "Date", "device": "Device"}
    assert "not read: 'Moon'" in " ".join(drafted.evidence)
    assert drafted.first_signals.height == 20


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


def test_a_header_further_down_and_odd_separators(tmp_path, readers):
    text = "My log\nkept since 2015\n\n" + sets_table().replace(",", "|")
    _, one = draft(write(tmp_path, text), readers)
    assert (one.header_row, one.separator) == (4, "|")


def test_unmarked_warm_ups_are_told_apart_by_rule(tmp_path, readers):
    rows = ["Date,Exercise,Weight (kg),Reps"]
    for day in days(10):
        rows += [f"{day},Back squat,{load},5" for load in (40, 60, 80, 100, 100, 100)]
    drafted, one = draft(write(tmp_path, "\n".join(rows)), readers)
    assert one.warmups == "by rule"
    assert "On 10 of 10 occasions" in " ".join(drafted.evidence)
    assert drafted.first_sets["is_warmup"].head(3).to_list() == [True, True, False]


def test_unmatched_names_are_listed_with_the_nearest(tmp_path, readers):
    text = sets_table().replace("Lateral raise", "Zercher carry")
    drafted, _ = draft(write(tmp_path, text), readers)
    unmatched = [line for line in drafted.names if line.match.exercise_id is None]
    assert [(line.written, line.count) for line in unmatched] == [("Zercher carry", 24)]
    assert "'Zercher carry' (24 times) is unmatched; nearest:" in " ".join(drafted.evidence)


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


FIXTURES = Path(__file__).parents[2] / "fixtures"
LAYOUTS = sorted(
    path
    for name in ("sets", "exercises", "european", "wide", "nights")
    for path in (FIXTURES / name / "inbox").rglob("*.csv")
)


def test_there_are_demo_layouts_to_draft_for():
    assert len(LAYOUTS) >= 8


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.name)
def test_the_drafts_for_the_demo_layouts_equal_the_maps_written_by_hand(path, shipped):
    folder = next(folder for folder in path.parents if (folder / "maps").is_dir())
    inside = str(path.relative_to(folder / "inbox").parts[0])
    shown = path.relative_to(folder / "inbox" / inside).as_posix()
    hand = next(
        one
        for one in map(read_map, (folder / "maps").glob("*.toml"))
        if any(fnmatch(shown, glob) for glob in one.globs)
    )
    drafted = draft_map(path, shipped)
    assert drafted.questions == ()
    one = read_text(drafted.toml)
    assert any(fnmatch(shown, glob) for glob in one.globs)
    for name in MEANT:
        assert getattr(one, name) == getattr(hand, name), name
    assert (one.notation_order or DEFAULT) == (hand.notation_order or DEFAULT)


MEANT = ("kind", "columns", "decimal", "header_row", "skip_columns", "warmups", "signals")
MEANT += ("date_order", "year_from", "unit", "unit_changes", "load_basis")
DEFAULT = "sets x reps @ load; load x reps"


NO_YEAR = "Date,Exercise,Weight,Reps\n1.2.,Back squat,100,5\n3.2.,Back squat,100,5\n"
NO_DATE = "Exercise,Weight,Reps\nBack squat,100,5\nBench press,60,5\n"
NO_LIFT = "Date,Mood\n2024-01-01,fine\n2024-01-02,bad\n"
COUNTED = "Date,Exercise,Sets,Reps,Weight\n2024-01-01,Row,3,5,100\n2024-01-02,Back squat,4,5,90\n"
NOT_DONE = "Date,Exercise,Remarks\n2024-01-01,Back squat,fine\n2024-01-02,Back squat,fine\n"


@pytest.mark.parametrize(
    ("text", "name", "message"),
    [
        ('{"sets": []}', "log.json", "looks like JSON, not a table"),
        ("<html></html>", "log.html", "looks like a page or XML"),
        ("squat 3x8\nbench 3x5\n", "notes.txt", "no separator makes a table of it"),
        ("2024-01-01,100,5\n2024-01-02,100,5\n", "log.csv", "no line of labels found"),
        ("", "log.csv", "empty file"),
        (NO_YEAR, "log.csv", "lack the year"),
        (NO_DATE, "log.csv", "no column of dates"),
        (NO_LIFT, "log.csv", "none is an exercise or a signal"),
        (COUNTED, "log.csv", "column 'Sets' counts sets"),
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
