"""The command line: documented, helpful, and one line for every error."""

import json
import shlex
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pipeline import cli
from pipeline.cli.init import make_home
from pipeline.cli.inspect import inspect_file
from pipeline.cli.refresh import run_refresh
from pipeline.core.errors import InputError, SettingsError
from pipeline.core.home import Home
from pipeline.core.settings import read_settings
from pipeline.flows.step_run import CODE_VERSION
from pipeline.sources.maps import read_maps
from pipeline.tidy.corrections import read_corrections
from pipeline.tidy.journal import read_journal
from tests.flows.homes import FIXTURES, run

ROOT = Path(__file__).parents[2]
COMMANDS = [command.callback.__name__ for command in cli.app.registered_commands]


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_an_example_and_stands_in_the_readme(command):
    shown = CliRunner().invoke(cli.app, [command, "--help"])
    assert shown.exit_code == 0
    assert f"liftstrata {command}" in shown.output
    assert f"liftstrata {command}" in (ROOT / "README.md").read_text("utf-8")


def test_pages_say_the_version_that_is_installed():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["version"] == CODE_VERSION


def test_no_command_shows_what_there_is():
    shown = CliRunner().invoke(cli.app, [])
    assert all(command in shown.output for command in COMMANDS)


def test_init_makes_a_folder_that_every_reader_accepts(tmp_path, capsys):
    make_home(tmp_path / "mine", "alex", "2014-03-01", "lb")
    home = Home(tmp_path / "mine")
    (lifter,) = read_settings(home.settings).lifters
    assert (lifter.lifter_id, lifter.unit) == ("alex", "lb")
    assert read_journal(home.journal / "alex.toml", "alex").is_empty()
    assert read_corrections(home.corrections) == ()
    assert read_maps(home) == []
    assert (home.inbox / "alex").is_dir()
    told = capsys.readouterr().out
    assert "liftstrata inspect" in told
    assert "liftstrata refresh" in told


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("a/b", "2014-03-01", "kg"), "letters, digits"),
        (("..", "2014-03-01", "kg"), "letters, digits"),
        (("alex", "", "kg"), "--began 2014-03-01"),
        (("alex", "March 2014", "kg"), "--began 2014-03-01"),
        (("alex", "2014-03-01", "stone"), "kg or lb"),
    ],
)
def test_init_refuses_what_it_cannot_use(tmp_path, options, says):
    with pytest.raises(SettingsError, match=says):
        make_home(tmp_path / "mine", *options)
    assert not (tmp_path / "mine").exists()


def test_init_leaves_a_folder_with_files_alone(tmp_path):
    (tmp_path / "diary.txt").write_text("mine", "utf-8")
    with pytest.raises(SettingsError, match="not empty"):
        make_home(tmp_path, "alex", "2014-03-01", "kg")


def test_inspect_drafts_a_map_and_saves_it_once(tmp_path, capsys):
    source = next((FIXTURES / "sets" / "inbox").rglob("sets 2019.csv"))
    saved = tmp_path / "maps" / "sets.toml"
    assert inspect_file(source, saved, []) == 0
    told = capsys.readouterr().out
    assert "the first rows as understood" in told
    assert 'kind = "sets"' in told
    assert saved.read_text("utf-8") in told
    with pytest.raises(SettingsError, match="exists"):
        inspect_file(source, saved, [])


def test_inspect_gives_machines_one_object(tmp_path, capsys):
    source, saved = tmp_path / "log.csv", tmp_path / "log.toml"
    source.write_text("Date,Lift,Weight,Reps\n2024-03-05,bench press,100,5\n" * 3, "utf-8")
    assert inspect_file(source, saved, [], as_json=True) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["map"] == saved.read_text("utf-8")
    assert told["saved"] == str(saved)
    assert told["first_rows"][0]["exercise_id"] == "bench_press"
    assert all(set(one) == {"key", "text", "why", "choices"} for one in told["questions"])


def test_an_answer_is_offered_and_taken_as_a_shell_hands_it_over(tmp_path, capsys):
    source = tmp_path / "nights.csv"
    source.write_text("Night,Sleep (h),HRV (ms)\n" + "2024-03-05,7.5,60\n" * 3, "utf-8")
    assert inspect_file(source, None, []) == 0
    offered = capsys.readouterr().out.partition("--answer ")[2].splitlines()[0]
    (pasted, *_) = shlex.split(offered)
    assert pasted == 'signals."HRV (ms)"=hrv_rmssd_ms'
    assert inspect_file(source, None, ["signals.HRV (ms)=hrv_sdnn_ms"]) == 0
    told = capsys.readouterr().out
    assert "UNSURE" not in told
    assert 'signal = "hrv_sdnn_ms"' in told


def test_inspect_says_what_it_cannot_read(tmp_path):
    path = tmp_path / "notes.md"
    path.write_text("# Monday\n\nbench, felt fine\n", "utf-8")
    with pytest.raises(InputError, match=r"notes\.md"):
        inspect_file(path, None, [])


def test_a_refresh_says_how_much_is_new_and_to_whom(tmp_path, capsys, monkeypatch):
    equation = dict.fromkeys(("read", "kept"), 9) | dict.fromkeys(("repeated", "set_aside"), 0)
    report = equation | {"blank": 0, "warnings": [], "news": {"ida": 1, "ola": 4}, "pages": "p"}
    monkeypatch.setattr("pipeline.cli.refresh.refresh_home", lambda *_: report)
    assert run_refresh(tmp_path, as_json=False, flow_name="refresh") == 0
    told = capsys.readouterr().out.splitlines()
    assert told[1:3] == [
        "news: 1 line about ida, see The record",
        "news: 4 lines about ola, see The record",
    ]
    assert run_refresh(tmp_path, as_json=True, flow_name="refresh") == 0
    assert json.loads(capsys.readouterr().out)["news"] == {"ida": 1, "ola": 4}


def test_an_answer_has_a_key(tmp_path):
    with pytest.raises(SettingsError, match="KEY=VALUE"):
        inspect_file(tmp_path / "x.csv", None, ["kg"])


def test_an_answer_under_a_key_that_the_file_does_not_take_is_refused(tmp_path, capsys):
    nights, heartbeats = tmp_path / "nights.csv", tmp_path / "2024-03-05.txt"
    nights.write_text("Night,Sleep (h),HRV (ms)\n" + "2024-03-05,7.5,60\n" * 3, "utf-8")
    heartbeats.write_text("812\n" * 9, "utf-8")
    with pytest.raises(SettingsError) as told:
        inspect_file(nights, tmp_path / "map.toml", ["signals.HRV (ms)=hrv_sdnn_ms", "units=kg"])
    assert str(told.value) == (
        '--answer units: this file takes no such answer: possible is signals."HRV (ms)"'
    )
    assert not (tmp_path / "map.toml").exists()
    with pytest.raises(SettingsError, match="possible is none"):
        inspect_file(heartbeats, None, ["units.load=kg"])
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("log.csv", "Date,Lift,Weight,Reps\n2024-03-05,bench press,100,5\n" * 3),
        ("notes.txt", "2024-03-05\nBench press 3x5 @ 100 kg\nBack squat 3x5 @ 120 kg\n\n" * 3),
    ],
)
def test_a_key_that_nothing_asks_for_is_taken_where_the_map_has_its_place(
    tmp_path, capsys, name, text
):
    source = tmp_path / name
    source.write_text(text, "utf-8")
    assert inspect_file(source, None, ["load.basis=total"]) == 0
    assert 'basis = "total"' in capsys.readouterr().out
    with pytest.raises(SettingsError, match=r"possible is .*load\.basis"):
        inspect_file(source, None, ["load.base=total"])


def test_an_error_is_one_line_and_exit_code_1(tmp_path):
    done = run("refresh", tmp_path / "nowhere")
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.startswith("liftstrata: ")
    assert done.stderr.count("\n") == 1
    assert "liftstrata init" in done.stderr


@pytest.mark.parametrize(
    "words",
    [("init", "{file}", "--began", "2014-03-01"), ("schedule", "{home}", "--units", "{file}")],
)
def test_a_path_that_cannot_be_made_is_one_line(tmp_path, monkeypatch, capsys, words):
    make_home(tmp_path / "mine", "alex", "2014-03-01", "kg")
    capsys.readouterr()
    (tmp_path / "file").write_text("taken", "utf-8")
    places = {"home": str(tmp_path / "mine"), "file": str(tmp_path / "file")}
    monkeypatch.setattr("sys.argv", ["liftstrata", *(word.format(**places) for word in words)])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    told = capsys.readouterr().err
    assert ended.value.code == 1
    assert told.startswith("liftstrata: ")
    assert str(tmp_path) in told
    assert told.count("\n") == 1


def test_a_fault_of_ours_is_one_line_and_its_detail_is_kept(tmp_path, monkeypatch):
    from pipeline.flows import run as flow_run

    make_home(tmp_path / "mine", "alex", "2014-03-01", "kg")

    def explode(*_: object) -> None:
        raise RuntimeError("a fault\nof two lines")

    monkeypatch.setattr(flow_run, "_run_flow", explode)
    monkeypatch.setattr(flow_run, "Server", object)
    monkeypatch.setattr(flow_run, "set_environment", lambda _: None)
    with pytest.raises(cli.LiftstrataError, match=r"RuntimeError: a fault: the last pages") as told:
        flow_run.refresh_home(tmp_path / "mine")
    assert "\n" not in str(told.value)
    home = Home(tmp_path / "mine")
    assert "explode" in (home.cache / "last_error.txt").read_text("utf-8")
    (line,) = home.runs.read_text("utf-8").splitlines()
    assert json.loads(line)["error"] == "RuntimeError: a fault"
