"""Plans under weeks that start on another day than they did."""

from datetime import timedelta

import polars as pl
import pytest

from pipeline.cli.accept import accept
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.plan_weeks import say_plan
from pipeline.findings.plans import accept_proposal
from pipeline.tidy.plans import read_plan
from tests.unit.plan_tables import KNOWN, SETTINGS, START, plan_home, proposal_tables


@pytest.fixture
def tables() -> dict[str, pl.DataFrame]:
    return proposal_tables()


@pytest.fixture
def home(tmp_path, tables, monkeypatch) -> Home:
    return plan_home(tmp_path, tables, monkeypatch)


def test_a_plan_of_other_weeks_is_refused_with_its_new_name(tables, tmp_path):
    """A plan from a Monday, once weeks start on Sunday or Thursday, and after it was renamed."""
    accepted = accept_proposal(tables["model_proposal"].row(0, named=True), tables)
    path = tmp_path / "2024-03-04.csv"
    path.write_text(say_plan(accepted.plan), "utf-8")
    for starts, right in (("sunday", "2024-03-03"), ("thursday", "2024-03-07")):
        with pytest.raises(SettingsError) as error:
            read_plan(path, "larch", KNOWN, starts)
        assert f"2024-03-04 is no {starts.title()}" in str(error.value)
        assert "week_starts in settings.toml" in str(error.value)
        assert f"name it {right}.csv" in str(error.value)
        renamed = tmp_path / f"{right}.csv"
        renamed.write_bytes(path.read_bytes())
        plan = read_plan(renamed, "larch", KNOWN, starts)
        assert {day.strftime("%A").lower() for day in plan["week_start"]} == {starts}
        assert plan.select(accepted.plan.columns).equals(accepted.plan)


def test_a_proposal_of_other_weeks_is_not_accepted(home):
    home.settings.write_text(SETTINGS + 'week_starts = "sunday"\n', "utf-8")
    with pytest.raises(SettingsError, match=r"weeks of larch start on Sunday.*liftstrata refresh"):
        accept(home.root, "plan-0123456789ab", START)
    assert not home.plans.exists()


@pytest.mark.parametrize("day", range(7))
def test_weeks_ahead_of_a_plan_are_counted_from_the_week_of_the_record(tables, day):
    """The record may end on any day of the week before the plan."""
    end = START - timedelta(days=7 - day)
    row = tables["model_proposal"].row(0, named=True) | {"made_from": end}
    lines = accept_proposal(row, tables).lines
    assert {line["weeks_ahead"] for line in lines} == {4}
