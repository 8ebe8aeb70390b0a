"""Values of standard documents (Open mHealth, IEEE 1752.1, FHIR) to signals: units, day, limits.

The day is the one written, in the offset that it is written with: for steps the day on which they
begin, for all else the day on which the span ends (a night belongs to the day of waking).
"""

from datetime import date, datetime

import polars as pl

from pipeline.core.signals import RR_INTERVAL, known_limits
from pipeline.core.source import RawFile
from pipeline.core.units import KG_PER_LB
from pipeline.tidy.cells import add_fault, read_cells
from pipeline.tidy.dates import read_date
from pipeline.tidy.intervals import DAY, gather_intervals, read_moment
from pipeline.tidy.records import AS_WRITTEN_LENGTH
from pipeline.tidy.signals import DraftSignals, describe_signals, gather_signals, name_signals

STEPS = "steps"
OUNCE = KG_PER_LB / 16
# Factor from a unit, as Open mHealth or UCUM spell it, to the unit of the signal.
FACTORS = {
    "body_weight_kg": {
        "fg": 1e-18,
        "pg": 1e-15,
        "ng": 1e-12,
        "ug": 1e-9,
        "mg": 1e-6,
        "g": 1e-3,
        "kg": 1.0,
        "Metric Ton": 1e3,
        "gr": KG_PER_LB / 7000,
        "oz": OUNCE,
        "lb": KG_PER_LB,
        "Ton": KG_PER_LB * 2000,
        "[lb_av]": KG_PER_LB,
    },
    "sleep_min": {
        "ps": 1e-12 / 60,
        "ns": 1e-9 / 60,
        "us": 1e-6 / 60,
        "ms": 1e-3 / 60,
        "sec": 1 / 60,
        "s": 1 / 60,
        "min": 1.0,
        "h": 60.0,
        "d": 1440.0,
        "wk": 10_080.0,
    },
    "resting_hr_bpm": {"beats/min": 1.0, "/min": 1.0},
    "hrv_sdnn_ms": {"ms": 1.0, "s": 1e3},
    RR_INTERVAL: {"ms": 1.0},
    STEPS: dict.fromkeys(("steps", "", "1", "/d", "1/d", "/(24.h)", "1/(24.h)"), 1.0),
}
# Parts of a day that cover less are likely worn hours only. Common practice, no published source.
LEAST_HOURS = 12.0
NOT_KEPT = "(see its place in the file)"
MIDNIGHT = r"[Tt]00:00:00(?:\.0+)?(?:[Zz]|[+-]\d\d:\d\d)$"


def read_standard_signals(raw: RawFile, limit: date) -> DraftSignals:
    """Every value of the file as a signal; steps of parts of a day added up, intervals between
    heartbeats as the variability of their day.

    Parameters
    ----------
    limit : the last day that can have been logged.
    """
    rows = _read_days(_open(raw), limit)
    rows = _read_values(rows)
    steps, intervals = pl.col("signal") == STEPS, pl.col("signal") == RR_INTERVAL
    is_good = pl.col("reason").is_null()
    parts = (
        gather_signals(rows.filter(~(is_good & (steps | intervals))), raw, 0),
        _gather_steps(rows.filter(is_good & steps), raw),
        gather_intervals(rows.filter(is_good & intervals).rename({"value": "rr_ms"}), raw, 0),
    )
    return DraftSignals(
        signals=pl.concat([part.signals for part in parts]),
        faulty=pl.concat([_aside(part.faulty) for part in parts]).sort("row_no"),
        n_read=raw.frame.height,
        n_kept=sum(part.n_kept for part in parts),
        n_blank=sum(part.n_blank for part in parts),
        n_repeated=sum(part.n_repeated for part in parts),
        warnings=tuple(told for part in parts for told in part.warnings),
    )


def _open(raw: RawFile) -> pl.DataFrame:
    return raw.frame.with_columns(
        pl.int_range(pl.len(), dtype=pl.Int64).alias("record"),
        pl.col("fault").alias("reason"),
        pl.col("why").alias("detail"),
        pl.coalesce("schema", pl.lit("no schema")).alias("label"),
        pl.coalesce(pl.format("{} {}", "value", "unit"), pl.lit(NOT_KEPT)).alias("cell_text"),
        pl.col("device").alias("device_id"),
        pl.coalesce("to", "from").alias("date_text"),
        read_moment("from").alias("begins"),
        read_moment("to").alias("ends"),
    )


def _read_days(rows: pl.DataFrame, limit: date) -> pl.DataFrame:
    is_steps = pl.col("signal") == STEPS
    late = pl.coalesce("to", "from")
    early = pl.coalesce("from", "to")
    ends_at_midnight = late.str.contains(MIDNIGHT) & (late.str.head(10) > early.str.head(10))
    rows = rows.with_columns(
        pl.when(is_steps).then(early).otherwise(late).str.head(10).alias("day_text"),
        (~is_steps & ends_at_midnight).alias("is_day_before"),
    )

    def read(text: str) -> dict[str, object]:
        return {"session_date": read_date(text, "ymd", None, limit)}

    rows = read_cells(rows, "day_text", "day", read, {"session_date": pl.Date()})
    before = pl.col("session_date").dt.offset_by("-1d")
    return rows.with_columns(
        pl.when("is_day_before").then(before).otherwise("session_date").alias("session_date")
    )


def _read_values(rows: pl.DataFrame) -> pl.DataFrame:
    factors = pl.DataFrame(
        [(name, unit, by) for name, units in FACTORS.items() for unit, by in units.items()],
        schema={"signal": pl.String(), "unit": pl.String(), "factor": pl.Float64()},
        orient="row",
    )
    rows = rows.join(factors, on=["signal", "unit"], how="left", maintain_order="left")
    number = pl.col("value").cast(pl.Float64, strict=False)
    rows = rows.with_columns(number.alias("number"))
    told = pl.format("{} is no number; correct it in corrections.toml", "value")
    rows = add_fault(rows, pl.col("number").is_null(), "value not understood", told)
    told = pl.format("{} has no fixed factor to the unit of {}", "unit", "signal")
    rows = add_fault(rows, pl.col("factor").is_null(), "unknown unit", told)
    rows = rows.with_columns((pl.col("number") * pl.col("factor")).alias("value"))
    for signal in FACTORS:
        rows = rows if signal == RR_INTERVAL else _check_limits(rows, signal)
    unit = {name: known_limits(name).unit for name in FACTORS if name != RR_INTERVAL}
    return rows.with_columns(pl.col("signal").replace_strict(unit, default="ms").alias("unit"))


def _check_limits(rows: pl.DataFrame, signal: str) -> pl.DataFrame:
    limits = known_limits(signal)
    told = pl.format(
        f"{{}} {limits.unit}, {limits.low:g} to {limits.high:g} {limits.unit} is read; "
        "correct it in corrections.toml",
        pl.col("value").round(2),
    )
    outside = ~pl.col("value").is_between(limits.low, limits.high)
    is_one = pl.col("signal") == signal
    return add_fault(rows, is_one & outside, "value outside its limits", told)


def _gather_steps(rows: pl.DataFrame, raw: RawFile) -> DraftSignals:
    """Steps of a day: its spans added up, as long as none overlaps another.

    A span that overlaps one counted already is set aside: its steps may be in that.
    """
    rows = _add_hours(rows)
    again = ~pl.struct(*DAY, "begins", "ends", "value").is_first_distinct()
    n_repeated = rows.filter(again).height
    rows = rows.filter(~again).sort("is_day", "begins", "ends", descending=[True, False, True])
    told = pl.format("{} to {}: these hours are counted already; keep one", "from", "to")
    rows = add_fault(rows, pl.lit(_overlapping(rows)), "overlaps another count", told).sort(
        "record"
    )
    good = rows.filter(pl.col("reason").is_null())
    sums = good.group_by(DAY, maintain_order=True).agg(
        pl.first("row_no", "signal", "unit"),
        pl.len().alias("n_records"),
        pl.col("value").sum(),
        (pl.col("ends") - pl.col("begins")).dt.total_seconds().sum().alias("seconds"),
    )
    n_short = sums.filter(pl.col("seconds") < LEAST_HOURS * 3600).height
    told_short = (
        f"{n_short} days have steps for less than {LEAST_HOURS:g} hours: "
        "what was not worn is not counted"
    )
    return DraftSignals(
        signals=name_signals(sums, raw),
        faulty=describe_signals(rows.filter(pl.col("reason").is_not_null())),
        n_read=rows.height + n_repeated,
        n_kept=good.height,
        n_blank=0,
        n_repeated=n_repeated,
        warnings=(told_short,) if n_short else (),
    )


def _add_hours(rows: pl.DataFrame) -> pl.DataFrame:
    """Add ``begins``, ``ends`` and ``is_day``: without both moments a count is the whole day's."""
    midnight = pl.col("session_date").cast(pl.Datetime("us", "UTC"))
    has_span = pl.col("begins").is_not_null() & (pl.col("ends") > pl.col("begins"))
    return rows.with_columns(
        pl.when(has_span).then("begins").otherwise(midnight).alias("begins"),
        pl.when(has_span).then("ends").otherwise(midnight.dt.offset_by("1d")).alias("ends"),
        (~has_span.fill_null(False)).alias("is_day"),
    )


def _overlapping(rows: pl.DataFrame) -> pl.Series:
    """Which spans begin before an earlier one of the day that is counted has ended."""
    counted_to: dict[tuple[object, object], tuple[bool, datetime]] = {}
    found = []
    for day, device, begins, ends, is_day in rows.select(*DAY, "begins", "ends", "is_day").rows():
        was_day, last = counted_to.get((day, device), (False, begins))
        found.append(was_day or begins < last)
        if not found[-1]:
            counted_to[day, device] = (is_day, ends)
    return pl.Series(found, dtype=pl.Boolean)


def _aside(faulty: pl.DataFrame) -> pl.DataFrame:
    """What was set aside; of a document its own text."""
    text = pl.coalesce("document", "as_written").str.head(AS_WRITTEN_LENGTH)
    return faulty.select("row_no", "reason", "detail", text.alias("as_written"))
