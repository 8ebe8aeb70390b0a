"""What the findings say of nights and sessions, and how much was read, for the page about them."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import polars as pl

from dashboards import words
from dashboards.prepare.counts import count_sessions
from dashboards.prepare.easing import find_answer, is_answered
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook

Row = dict[str, Any]
QUESTION = "signal_effect"
# In the order of the page; girths and ratings have pages of their own.
SIGNALS = ("sleep_min", "resting_hr_bpm", "hrv_rmssd_ms", "hrv_sdnn_ms", "steps", "body_weight_kg")


@dataclass(frozen=True)
class SignalRow:
    """One test: its finding, the row of ``model_signal`` behind it (None where refused), words."""

    finding: Row
    model: Row | None
    signal: str
    nights: int

    @property
    def name(self) -> str:
        """What the row of the picture is called."""
        return words.plain(f"nights.name_{self.signal}")

    @property
    def when(self) -> str:
        """Which nights or days."""
        kind = {"steps": "day", "body_weight_kg": "morning"}.get(self.signal, "night")
        return words.plain(f"nights.when_{kind}_{self.nights}")

    @property
    def full_name(self) -> str:
        """Both in one."""
        return words.plain("nights.full", name=self.name, when=self.when)

    @property
    def is_standing(self) -> bool:
        """It stands among all that were tested."""
        return is_answered(self.finding)

    @property
    def unit(self) -> str:
        """What the numbers are in: % per hour."""
        what, _, of = told_plain(self.finding["unit"]).partition("/")
        return words.plain("nights.per", what=what, of=of)

    @property
    def support(self) -> str:
        """The word of support; what was tested and does not stand shows no more than chance."""
        if self.model is not None and not self.is_standing:
            return words.plain("nights.support_chance")
        return told_plain(self.finding["support"])

    @property
    def tone(self) -> str:
        """progress, loss or "": colour only for what stands among all tests."""
        if not self.is_standing or self.finding["estimate"] is None:
            return ""
        return "progress" if self.finding["estimate"] > 0 else "loss"

    @property
    def swing(self) -> tuple[float, float, float] | None:
        """Estimate and interval for one usual swing of the signal, % of strength."""
        if self.model is None:
            return None
        size = self.model["swing"]
        low, high = self.finding["low"] * size, self.finding["high"] * size
        return self.finding["estimate"] * size, low, high


def find_family(book: PageBook, lifter_id: str) -> Row | None:
    """The finding about all signals together; None where no night was ever asked about."""
    return find_answer(book, lifter_id, QUESTION)


def list_signals(book: PageBook, lifter_id: str) -> list[SignalRow]:
    """Every test, those that stand first, then by size; refused ones last."""
    findings = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("question") == QUESTION)
        & pl.col("subject").str.starts_with("signal:")
    )
    models = _models(book, lifter_id, "recorded")
    rows = []
    for finding in findings.iter_rows(named=True):
        signal, nights = finding["subject"].removeprefix("signal:").rsplit("@", 1)
        rows.append(SignalRow(finding, models.get((signal, int(nights))), signal, int(nights)))
    return sorted(rows, key=_place)


def _place(row: SignalRow) -> tuple[bool, bool, float, int, int]:
    swing = row.swing
    size = abs(swing[0]) if swing else 0.0
    return swing is None, not row.is_standing, -size, SIGNALS.index(row.signal), row.nights


def _models(book: PageBook, lifter_id: str, reserve: str) -> dict[tuple[str, int], Row]:
    rows = book.tables["model_signal"].filter(
        (pl.col("lifter_id") == lifter_id) & (pl.col("reserve") == reserve)
    )
    return {(row["signal"], row["nights"]): row for row in rows.iter_rows(named=True)}


def without_reserve(book: PageBook, lifter_id: str) -> dict[tuple[str, int], Row]:
    """The same tests on sets without recorded reserve, by signal and nights."""
    return _models(book, lifter_id, "unrecorded")


def readings_of(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """Readings of the lifter in order of day: signal, date, value, device_id; one a day."""
    rows = book.tables["mart_day_signal"].filter(
        (pl.col("lifter_id") == lifter_id) & pl.col("signal").is_in(SIGNALS)
    )
    return rows.select("signal", "date", "value", "device_id").sort("signal", "date")


def count_readings(readings: pl.DataFrame) -> pl.DataFrame:
    """A row a signal, in the order of the page: signal, days, first, last, devices, mean (of the
    last 28 days up to its last reading)."""
    rows = []
    for signal in SIGNALS:
        own = readings.filter(pl.col("signal") == signal)
        if own.height:
            last = own["date"].max()
            recent = own.filter(pl.col("date") > last - timedelta(days=28))  # type: ignore[operator]
            rows.append(
                {
                    "signal": signal,
                    "days": own.height,
                    "first": own["date"].min(),
                    "last": last,
                    "devices": own["device_id"].drop_nulls().n_unique(),
                    "mean": recent["value"].mean(),
                }
            )
    schema = {
        "signal": pl.String,
        "days": pl.Int64,
        "first": pl.Date,
        "last": pl.Date,
        "devices": pl.Int64,
        "mean": pl.Float64,
    }
    return pl.DataFrame(rows, schema=schema)


def count_by_year(book: PageBook, lifter_id: str, readings: pl.DataFrame) -> pl.DataFrame:
    """A row a calendar year, newest first: year, sessions, recorded (sessions with a recorded
    reserve), and days with a reading of each signal."""
    sets = book.tables["tidy_set"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("rir_source") == "recorded")
        & ~pl.col("is_warmup")
        & ~pl.col("is_doubted")
    )
    years = count_sessions(book, lifter_id).select("year", "sessions")
    recorded = sets.group_by(year=pl.col("session_date").dt.year()).agg(
        recorded=pl.col("session_id").n_unique()
    )
    years = years.join(recorded, on="year", how="full", coalesce=True)
    for signal in SIGNALS:
        own = readings.filter(pl.col("signal") == signal)
        if own.height:
            days = own.group_by(pl.col("date").dt.year().alias("year")).agg(pl.len().alias(signal))
            years = years.join(days, on="year", how="full", coalesce=True)
    counts = [name for name in years.columns if name != "year"]
    return years.with_columns(pl.col(counts).fill_null(0)).sort("year", descending=True)
