"""What the invented lifters' files gave: rows, sets, names and lifts done."""

from datetime import date, timedelta

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.source import NO_VALUE


def file_rows(lifter_id: str, names: tuple[str, ...], first: date, last: date) -> pl.DataFrame:
    """Source files whose row equation holds."""
    rows = []
    for i, name in enumerate(names):
        kept, repeated, aside, blank = 9000 - 700 * i, 12 * i, 3 + i, 120
        rows.append(
            {
                "file_id": f"{lifter_id}-{i}",
                "lifter_id": lifter_id,
                "path": name,
                "sha256": f"{i:02x}" + "3f9a5b7c" * 7 + "c1d2e3",
                "map": "one_row_per_set",
                "encoding": "utf-8",
                "counts_as": "row",
                "read": kept + repeated + aside + blank,
                "kept": kept,
                "repeated": repeated,
                "set_aside": aside,
                "blank": blank,
                "first_date": first,
                "last_date": last,
            }
        )
    return conform("source_file", pl.DataFrame(rows))


def aside_rows(files: pl.DataFrame) -> pl.DataFrame:
    """As many rows set aside as each file says."""
    reasons = ("load without a unit", "date that does not exist", "negative load")
    rows = [
        {
            "file_id": file["file_id"],
            "row_no": 100 + 7 * i,
            "reason": reasons[i % 3],
            "detail": 'write the unit in the map, for example unit = "kg"',
            "as_written": f"12.3.2019,bench press,3,{i}",
        }
        for file in files.iter_rows(named=True)
        for i in range(file["set_aside"])
    ]
    return conform("set_aside", pl.DataFrame(rows))


def set_rows(lifter_id: str, name: str, first: date) -> pl.DataFrame:
    """A few sets: some doubted, some with a name that no exercise matches."""
    rows = [
        {
            "lifter_id": lifter_id,
            "session_date": first + timedelta(days=3 * i),
            "session_id": f"{lifter_id}-{i}",
            "exercise_id": f"unmatched:{name}" if i % 5 == 0 else "bench_press",
            "exercise_as_written": name if i % 5 == 0 else "bench press",
            "exercise_order": 1,
            "set_no": 1,
            "segment_no": 1,
            "is_warmup": False,
            "load_kg": 100.0,
            "load_basis": "total",
            "load_as_written": "1000" if i % 9 == 0 else "100",
            "reps": 8,
            "rir_source": "none",
            "is_doubted": i % 9 == 0,
            "file_id": f"{lifter_id}-0",
            "row_no": i + 2,
        }
        for i in range(30)
    ]
    return conform("tidy_set", pl.DataFrame(rows))


def doubt_rows(lifter_id: str, sets: pl.DataFrame) -> pl.DataFrame:
    """Every doubted set, with what it may mean (of the first nothing), and a row set aside."""
    rows = [
        {
            "lifter_id": lifter_id,
            "file_id": row["file_id"],
            "row_no": row["row_no"],
            "date": row["session_date"],
            "subject": row["exercise_as_written"],
            "what": "load",
            "found": 1000.0,
            "usual": 98.0,
            "unit": "kg",
            "column": 'Load "kg"',
            "expect": "1000",
            "value": None if place == 0 else "100",
        }
        for place, row in enumerate(sets.filter("is_doubted").iter_rows(named=True))
    ]
    aside = {
        "lifter_id": lifter_id,
        "file_id": sets["file_id"][0],
        "row_no": 100,
        "subject": "bench press; pull up",
        "what": "date",
        "why": "Date '31 Sep': no day 31 in month 9 of 2015, read as dmy",
        "column": "Date",
        "expect": "31 Sep",
    }
    return conform("tidy_doubt", pl.DataFrame([*rows, aside], infer_schema_length=None))


def mended_rows(lifter_id: str, first: date) -> dict[str, pl.DataFrame]:
    """A day that two files hold, a day told twice in one; a correction in force and two not."""
    copy = {"lifter_id": lifter_id, "exercise_id": "bench_press", "row_no": 4, "first_row_no": 9}
    copies = [
        {**copy, "session_date": first, "file_id": f"{lifter_id}-1"},
        {**copy, "session_date": first + timedelta(days=2), "file_id": f"{lifter_id}-1"},
        {**copy, "session_date": first, "file_id": f"{lifter_id}-0"},
    ]
    both = [
        {**one, "first_file_id": f"{lifter_id}-0", "how": "same sets", "sets": 3} for one in copies
    ]
    fix = {"file_id": f"{lifter_id}-0", "column": "Load", "expect": "1000", "value": "100"}
    fixes = [
        {**fix, "row_no": 7, "why": "a zero too many", "fault": None},
        {**fix, "row_no": 8, "why": "another", "fault": "holds '90', not '1000'"},
        {**fix, "row_no": 9, "why": "to look up", "value": None, "fault": NO_VALUE},
    ]
    return {
        "tidy_copy": conform("tidy_copy", pl.DataFrame(both)),
        "tidy_correction": conform("tidy_correction", pl.DataFrame(fixes)),
    }


def name_rows(lifter_id: str, name: str) -> pl.DataFrame:
    """The one name that no exercise matches."""
    row = {
        "lifter_id": lifter_id,
        "exercise_as_written": name,
        "exercise_id": f"unmatched:{name}",
        "certainty": 0.7,
        "how": "unmatched",
        "candidates": "bench_press close_grip_bench_press",
    }
    return conform("tidy_name", pl.DataFrame([row]))


def lift_rows(lifter_id: str, first: date, weeks: int) -> pl.DataFrame:
    """Bench press in every fourth week."""
    rows = [
        {
            "lifter_id": lifter_id,
            "week_start": first + timedelta(weeks=w),
            "exercise_id": "bench_press",
            "working_sets": 6,
            "top_load_kg": 80 + w / 20,
        }
        for w in range(0, weeks, 4)
    ]
    return conform("mart_week_lift", pl.DataFrame(rows))


def session_rows(weeks: pl.DataFrame) -> pl.DataFrame:
    """The sessions of the weeks of ``mart_week_lifter``, every second day, the sets shared out."""
    rows = []
    for week in weeks.filter(pl.col("sessions") > 0).iter_rows(named=True):
        for i in range(week["sessions"]):
            day = week["week_start"] + timedelta(days=2 * i)
            parts = {
                key: week[key] // week["sessions"] + (i < week[key] % week["sessions"])
                for key in ("working_sets", "hard_sets")
            }
            rows.append(
                {
                    "lifter_id": week["lifter_id"],
                    "session_id": f"{week['lifter_id']}-{day}",
                    "session_date": day,
                    "week_start": week["week_start"],
                    "exercise_id": "bench_press",
                    "failure_sets": 0,
                    **parts,
                }
            )
    return conform("mart_session_lift", pl.DataFrame(rows))
