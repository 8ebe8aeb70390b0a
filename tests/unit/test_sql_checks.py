"""Every rule about whole tables in ``sql/checks`` holds for a sound database and can be broken."""

from datetime import timedelta
from pathlib import Path

import duckdb
import pytest

from pipeline.store.sql_models import read_checks
from pipeline.store.warehouse import run_checks
from tests.unit.store_records import MONDAY, build, one_set

# For each rule of sql/checks a statement that breaks it in a sound database.
BREAKS = {
    "contribution_once": "insert into ref_contribution values ('bench', 'chest', 'indirect')",
    "exercise_known": "update tidy_set set exercise_id = 'benhc' where row_no = 1",
    "file_listed_once": "insert into source_file from source_file",
    "hard_within_sets": "update mart_week_lift set hard_sets = working_sets + 1",
    "lifter_known": "update ref_lifter set lifter_id = 'b'",
    "muscle_sets_add_up": "update mart_week_muscle set direct_sets = direct_sets + 1",
    "muscle_week_complete": "delete from mart_week_muscle where week_start = '2025-03-10'",
    "rest_is_zero": "update mart_week_lifter set working_sets = 0 where working_sets is null",
    "row_equation": "update source_file set kept = kept - 1",
    "set_aside_has_reason": "update source_file set kept = kept - 1, set_aside = 1",
    "set_has_source": "delete from raw_row where row_no = 1",
    "sets_add_up": "update mart_week_lift set drop_segments = drop_segments + 1",
    "tonnage_adds_up": "update mart_week_lifter set tonnage_kg = tonnage_kg * 1.001",
    "week_complete": "delete from calendar_week where week_start = '2025-03-10'",
}


def test_each_rule_about_whole_tables_has_a_breaking_statement() -> None:
    assert sorted(BREAKS) == [check.name for check in read_checks()]


@pytest.mark.parametrize("name", BREAKS)
def test_a_broken_rule_is_found(tmp_path: Path, name: str) -> None:
    later = MONDAY + timedelta(weeks=2)
    file = build(tmp_path, [one_set(1, "bench"), one_set(2, "row", session_date=later)])
    assert run_checks(file) == ()
    with duckdb.connect(str(file)) as connection:
        connection.execute(BREAKS[name])
    broken = {rule.name: rule for rule in run_checks(file)}
    assert name in broken
    assert broken[name].rows >= 1
    assert broken[name].first
