"""Whatever was logged: marts count what tidy_set holds, and no record is lost by the checks."""

import tempfile
from datetime import timedelta
from pathlib import Path

import polars as pl
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.checks.quarantine import quarantine
from pipeline.checks.suites import CheckReport, Failure
from pipeline.store.warehouse import read_tables, run_checks
from tests.unit.store_records import MONDAY, ROLES, build, one_set, rows

SEGMENTS = st.lists(
    st.fixed_dictionaries(
        {
            "exercise_id": st.sampled_from([*ROLES, "unmatched:x"]),
            "session_date": st.integers(0, 60).map(lambda day: MONDAY + timedelta(days=day)),
            "segment_no": st.integers(1, 3),
            "cluster_id": st.sampled_from([None, "c1", "c2"]),
            "is_warmup": st.booleans(),
            "is_doubted": st.booleans(),
            "load_kg": st.none() | st.floats(0, 300),
            "load_basis": st.sampled_from(["total", "added", "assisted"]),
            "reps": st.none() | st.integers(0, 30),
            "rir": st.none() | st.integers(0, 6).map(float),
            "to_failure": st.none() | st.booleans(),
        }
    ),
    max_size=25,
)
EVENTS = st.lists(
    st.fixed_dictionaries(
        {
            "kind": st.sampled_from(["deload", "layoff", "surplus"]),
            "start": st.integers(-10, 60).map(lambda day: MONDAY + timedelta(days=day)),
            "days": st.none() | st.integers(0, 30),
        }
    ),
    max_size=4,
)


def event(number: int, kind: str, start: object, days: int | None) -> dict[str, object]:
    end = None if days is None else start + timedelta(days=days)
    told = {"event_id": f"e{number}", "lifter_id": "a", "evidence": "told"}
    return told | {"kind": kind, "start": start, "end": end}


@settings(max_examples=25, deadline=None)
@given(SEGMENTS, EVENTS)
def test_no_record_breaks_a_rule_about_whole_tables(
    segments: list[dict[str, object]], events: list[dict[str, object]]
) -> None:
    sets = [one_set(i, str(s["exercise_id"]), **s) for i, s in enumerate(segments, 1)]
    told = rows("tidy_event", [event(i, **one) for i, one in enumerate(events)])
    with tempfile.TemporaryDirectory() as folder:
        file = build(Path(folder), sets, tidy_event=told)
        assert run_checks(file) == ()
        tables = read_tables(file, ["calendar_week", "mart_week_lifter", "mart_week_muscle"])
    weeks = tables["mart_week_lifter"]
    counted = sum(not s["is_warmup"] and not s["is_doubted"] and s["segment_no"] == 1 for s in sets)
    assert (weeks["working_sets"].sum() or 0) == counted
    assert tables["calendar_week"].height == weeks.height
    by_muscle = tables["mart_week_muscle"]
    assert by_muscle["weekly_sets"].equals(
        by_muscle["direct_sets"] + 0.5 * by_muscle["indirect_sets"]
    )


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 6), st.sampled_from(["bench", "row"])), max_size=20),
    st.sets(st.integers(0, 19)),
)
def test_every_record_is_kept_or_set_aside_never_both(
    lines: list[tuple[int, str]], places: set[int]
) -> None:
    sets = rows("tidy_set", [one_set(row_no, lift) for row_no, lift in lines])
    bad = sorted(place for place in places if place < sets.height)
    failures = tuple(Failure(place, "reps", "odd", 1, "limit", "remedy") for place in bad)
    texts = pl.DataFrame({"file_id": "f", "row_no": range(1, 7), "as_written": "text"})
    kept, aside = quarantine("tidy_set", sets, CheckReport(failures, 1), texts)
    records = set(lines)
    set_aside = {lines[place] for place in bad}
    assert set(zip(kept["row_no"], kept["exercise_as_written"], strict=True)) == records - set_aside
    assert sorted(aside["row_no"]) == sorted(row_no for row_no, _ in set_aside)
