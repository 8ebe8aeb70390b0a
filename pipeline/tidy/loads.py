"""Loads: what a cell says, and the whole external load in kilograms that it means."""

import re
from dataclasses import dataclass

import polars as pl

from pipeline.core.source import SourceMap
from pipeline.core.units import BODY_WEIGHT_PATTERN, MASS_UNITS
from pipeline.tidy.bars import add_bar, add_plates, read_bar_or_plates
from pipeline.tidy.cells import CellError, add_fault
from pipeline.tidy.numbers import MINUS, read_decimal

_LOAD = re.compile(
    rf"(?P<own>{BODY_WEIGHT_PATTERN})?\s*(?P<sign>[{MINUS}+])?\s*"
    r"(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)?\s*(?P<rest>.*)"
)
# What may follow a number, longest first so that "each side" is not taken for "each".
BASIS_WORDS = (
    ("each side", "per_side"),
    ("per side", "per_side"),
    ("a side", "per_side"),
    ("/side", "per_side"),
    ("per dumbbell", "per_hand"),
    ("each hand", "per_hand"),
    ("per hand", "per_hand"),
    ("a hand", "per_hand"),
    ("/hand", "per_hand"),
    ("each", "per_hand"),
    ("assistance", "assisted"),
    ("assisted", "assisted"),
    ("assist", "assisted"),
    ("in total", "total"),
    ("total", "total"),
)


@dataclass(frozen=True)
class LoadText:
    """A load as a cell says it; ``is_minus``: below zero, which only help can be."""

    amount: float
    unit: str | None = None
    basis: str | None = None
    is_minus: bool = False
    plates: float | None = None
    bar: str | None = None


def read_load(text: str, decimal: str, plates: str | None = None) -> LoadText:
    """A load such as 80, 82,5 kg, 30/hand, bw, bw+10, -20, bar or 2 plates per side.

    Body weight alone is 0, added. ``plates`` says how plates count where the text does not.

    Raises
    ------
    CellError
        when a part of it is not understood, its unit included.
    """
    beside = read_bar_or_plates(text, decimal, plates)
    if beside is not None:
        return LoadText(
            beside.load or 0.0, beside.unit, beside.basis, plates=beside.plates, bar=beside.bar
        )
    match = _LOAD.fullmatch(text.strip().lower())
    remedy = "write a number with its unit, such as 80 or 80 kg, or bw for the body alone"
    if not match or not (match["own"] or match["number"]):
        raise CellError("weight not understood", remedy)
    own, sign, number = match["own"], match["sign"], match["number"]
    if number is None:
        if sign or match["rest"].strip():
            raise CellError("weight not understood", remedy)
        return LoadText(0.0, basis="added")
    if own and not sign:
        raise CellError("weight not understood", "write bw+10 or bw-20")
    unit, basis = _read_rest(match["rest"].strip())
    amount = read_decimal(number, decimal)
    is_minus = bool(sign) and sign != "+"
    if own or sign == "+":
        basis = basis or ("assisted" if is_minus else "added")
    return LoadText(amount, unit, basis, is_minus and not own)


def _read_rest(rest: str) -> tuple[str | None, str | None]:
    """Unit and basis from what follows the number."""
    ending = next(((word, basis) for word, basis in BASIS_WORDS if rest.endswith(word)), None)
    word, basis = ending or ("", None)
    unit = rest[: len(rest) - len(word)].strip().rstrip(".")
    if not unit:
        return None, basis
    if unit not in MASS_UNITS:
        raise CellError("unknown unit", f"{unit!r} is no unit of weight; kg and lb are read")
    return unit, basis


def read_load_cell(text: str, decimal: str, plates: str | None) -> dict[str, object]:
    """The parts of a load as ``LOAD_COLUMNS``."""
    load = read_load(text, decimal, plates)
    return {
        "amount": load.amount,
        "amount_unit": load.unit,
        "basis": load.basis,
        "is_minus": load.is_minus,
        "plates": load.plates,
        "bar": load.bar,
    }


LOAD_COLUMNS: dict[str, pl.DataType] = {
    "amount": pl.Float64(),
    "amount_unit": pl.String(),
    "basis": pl.String(),
    "is_minus": pl.Boolean(),
    "plates": pl.Float64(),
    "bar": pl.String(),
}


def resolve_loads(frame: pl.DataFrame, one: SourceMap) -> pl.DataFrame:
    """Add ``load_kg``, ``load_basis``, ``unit_as_written`` and ``has_bar``, or a fault.

    ``load_kg`` is the whole external load: a load per hand counts twice (once where a lift that
    can be done with both sides is written for one), a load per side twice plus the bar on barbell
    lifts or where the bar is named; plates count with it, and a load beside the bar once plus the
    bar. For assisted lifts it is the help given.

    Parameters
    ----------
    frame : with ``LOAD_COLUMNS``, ``unit_text``, ``load_as_written``, ``session_date``, ``side``
        and, by the exercise, ``default_load_basis``, ``laterality`` and ``equipment``.
    """
    frame = add_plates(_resolve_unit(frame, one), one.plate_kg)
    frame = add_bar(_resolve_basis(frame, one), one)
    hands = pl.when(
        pl.col("side").is_in(["left", "right"]) & (pl.col("laterality") != "unilateral")
    ).then(1.0)
    times = (
        pl.when(pl.col("load_basis") == "per_hand")
        .then(hands.otherwise(2.0))
        .when(pl.col("load_basis") == "per_side")
        .then(2.0)
        .otherwise(1.0)
    )
    return frame.with_columns(
        (pl.col("amount") * pl.col("unit_kg") * times + pl.col("added_bar_kg")).alias("load_kg"),
        pl.col("load_basis").replace("on_bar", "total"),
    )


def _resolve_unit(frame: pl.DataFrame, one: SourceMap) -> pl.DataFrame:
    """The unit in the cell goes before the unit column, and that before the map's."""
    of_map = pl.lit(one.unit, pl.String)
    for day, unit in one.unit_changes:
        of_map = pl.when(pl.col("session_date") >= day).then(pl.lit(unit)).otherwise(of_map)
    of_column = pl.col("unit_text").str.strip_chars().str.to_lowercase().str.strip_chars_end(".")
    frame = frame.with_columns(
        pl.coalesce("amount_unit", of_column, of_map).alias("unit_as_written")
    ).with_columns(
        pl.col("unit_as_written")
        .replace_strict(MASS_UNITS, default=None, return_dtype=pl.Float64)
        .alias("unit_kg")
    )
    is_some = (pl.col("amount") != 0) | pl.col("plates").is_not_null()
    has_load = pl.col("amount").is_not_null() & is_some
    frame = add_fault(
        frame,
        has_load & pl.col("unit_as_written").is_null(),
        "no unit of weight",
        pl.format("load {}: write kg or lb, or set units.load in the map", "load_as_written"),
    )
    frame = add_fault(
        frame,
        has_load & pl.col("unit_kg").is_null(),
        "unknown unit",
        pl.format(
            "'{}' beside load {} is no unit of weight; kg and lb are read",
            "unit_as_written",
            "load_as_written",
        ),
    )
    return frame.with_columns(pl.col("unit_kg").fill_null(1.0))


def _resolve_basis(frame: pl.DataFrame, one: SourceMap) -> pl.DataFrame:
    """How the load was written: as the cell says, else as the map, else as usual for the lift."""
    usual = pl.col("default_load_basis").fill_null("total")
    if one.load_basis == "total":
        usual = (
            pl.when(usual.is_in(["per_hand", "per_side"])).then(pl.lit("total")).otherwise(usual)
        )
    is_help = pl.col("is_minus").fill_null(False)
    can_help = usual.is_in(["added", "assisted"])
    basis = pl.when(is_help & can_help).then(pl.lit("assisted"))
    frame = frame.with_columns(basis.otherwise(pl.coalesce("basis", usual)).alias("load_basis"))
    is_known = pl.col("default_load_basis").is_not_null()
    return add_fault(
        frame,
        ~can_help & (is_help | (is_known & (pl.col("load_basis") == "assisted"))),
        "negative weight",
        pl.format(
            "load {}: below 0 is read only as help on body-weight lifts; correct it in "
            "corrections.toml",
            "load_as_written",
        ),
    )
