"""What each lifter was told is kept in the folder: compared with again, never in the way."""

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from pipeline.core.dictionary import empty_frame
from pipeline.core.home import WAREHOUSE, Home
from pipeline.core.page_book import LifterInfo
from pipeline.core.settings import default_settings
from pipeline.core.source import SourceFile
from pipeline.flows.inputs import Inputs
from pipeline.flows.step_news import find_news, keep_told
from pipeline.reference import load_reference
from pipeline.store.warehouse import add_tables, build_warehouse
from pipeline.tidy.names import NameIndex

IDA = LifterInfo("ida", "Ida", date(2015, 1, 1))


@pytest.fixture(scope="module")
def warehouse(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("news") / WAREHOUSE
    build_warehouse(path, {}, default_settings())
    add_tables(path, {name: empty_frame(name) for name in ("finding", "model_rep_curve")})
    return path


def inputs_of(root: Path, reference_id: str = "r") -> Inputs:
    reference = load_reference(None)
    return Inputs(
        home=Home(root),
        settings=default_settings((IDA,)),
        reference=reference,
        reference_id=reference_id,
        names=NameIndex.from_reference(reference.aliases, reference.exercises, {}),
        names_id="",
        corrections=(),
        copies={},
        journals={"ida": empty_frame("tidy_event")},
        files=(),
        unmapped=(),
        why_unmapped={},
    )


def test_the_same_record_is_held_against_the_same_state_again(tmp_path: Path, warehouse: Path):
    told = tmp_path / "told" / "ida.json"
    for reference, before in (("r", None), ("s", "r"), ("s", "r"), ("t", "s")):
        inputs = inputs_of(tmp_path, reference)
        news = find_news(inputs, warehouse, "program", pytest.fail)
        keep_told(inputs.home, news)
        states = json.loads(told.read_text("utf-8"))
        assert news.since["ida"].is_first == (before is None)
        assert news.counts == {}
        assert (states["before"] is None) == (before is None)
        if before is not None:
            assert news.since["ida"].rules == ("reference tables",)
    assert [one.name for one in told.parent.iterdir()] == ["ida.json"]


def test_an_inbox_that_is_gone_leaves_what_was_told_last(tmp_path: Path, warehouse: Path):
    empty = inputs_of(tmp_path)
    file = SourceFile("one", "ida", "log.csv", "sum", 1, tmp_path / "log.csv")
    full = replace(empty, unmapped=(file,))
    keep_told(full.home, find_news(full, warehouse, "program", pytest.fail))
    told = (tmp_path / "told" / "ida.json").read_bytes()
    assert (empty.without_files, full.without_files) == (("ida",), ())
    news = find_news(empty, warehouse, "program", pytest.fail)
    assert (news.counts, news.kept) == ({}, {})
    keep_told(empty.home, news)
    assert (tmp_path / "told" / "ida.json").read_bytes() == told


@pytest.mark.parametrize("text", ["", "{", "[]", "{}", '{"schema": 9}', '{"schema":1,"before":3}'])
def test_a_damaged_file_counts_as_none_and_is_named(tmp_path: Path, warehouse: Path, text: str):
    inputs, warned = inputs_of(tmp_path), list[str]()
    inputs.home.told.mkdir()
    (inputs.home.told / "ida.json").write_text(text, "utf-8")
    news = find_news(inputs, warehouse, "program", warned.append)
    assert news.since["ida"].is_first
    assert len(warned) == 1
    assert warned[0].startswith("told/ida.json: ")
    keep_told(inputs.home, news)
    assert json.loads((inputs.home.told / "ida.json").read_text("utf-8"))["before"] is None
