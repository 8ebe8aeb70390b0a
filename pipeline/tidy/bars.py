"""Plates and bars: loads that are said without their weight."""

import re

import polars as pl

from pipeline.core.source import SourceMap
from pipeline.tidy.cells import CellError, add_fault
from pipeline.tidy.notation import Notation, NotationError, ParsedSet, parse_sets
from pipeline.tidy.notation.load_terms import PLATES_REMEDY
from pipeline.tidy.notation.words import PLAIN_BAR

# The large plate of either system; that "a plate" means it is common practice, no published source.
PLATE_KG = 20.0
PLATE_LB = 45.0
_SAYS_BAR_OR_PLATES = re.compile(r"plate|bar\b|stange|barr|smith|\bez\b|\bsz\b|ssb", re.IGNORECASE)


def read_bar_or_plates(text: str, decimal: str, plates: str | None) -> ParsedSet | None:
    """The load in a cell such as ``bar``, ``ez bar + 10 kg``, ``2 plates per side``, else None.

    Raises
    ------
    CellError
        when nothing says how plates count.
    """
    if not _SAYS_BAR_OR_PLATES.search(text):
        return None
    try:
        (one,) = parse_sets(f"{text} x 1 reps", Notation("load x reps", decimal, plates))
    except NotationError as error:
        if error.remedy == PLATES_REMEDY:
            raise CellError("weight not understood", PLATES_REMEDY) from None
        return None
    except ValueError:
        return None
    is_load_only = one.note is None and one.side is None and one.rir is None
    return one if is_load_only and (one.plates, one.bar) != (None, None) else None


def add_plates(frame: pl.DataFrame, plate_kg: float | None) -> pl.DataFrame:
    """``amount`` with the plates beside it: ``plate_kg`` each, else 20 kg, or 45 lb in pounds.

    Parameters
    ----------
    frame : with ``amount``, ``plates`` and ``unit_kg``.
    """
    usual = pl.when(pl.col("unit_kg") == 1.0).then(PLATE_KG).otherwise(PLATE_LB)
    plate = usual if plate_kg is None else plate_kg / pl.col("unit_kg")
    return frame.with_columns(amount=pl.col("amount") + pl.col("plates").fill_null(0.0) * plate)


def add_bar(frame: pl.DataFrame, one: SourceMap) -> pl.DataFrame:
    """Add ``has_bar`` and ``added_bar_kg``; a fault where the weight of a named bar is not known.

    The bar is added to a load beside it, and to a load per side of a barbell or of a named bar;
    to plates in all only of these.

    Parameters
    ----------
    frame : with ``amount``, ``bar``, ``plates``, ``load_basis``, ``equipment`` and
        ``load_as_written``.
    """
    has_name = pl.col("bar").is_not_null()
    is_per_side = (pl.col("load_basis") == "per_side") & (
        (pl.col("equipment") == "barbell").fill_null(False) | has_name
    )
    has_own = pl.col("plates").is_null() | (pl.col("equipment") == "barbell").fill_null(False)
    is_on_bar = (pl.col("load_basis") == "on_bar") & (has_own | has_name)
    has_bar = (is_per_side | is_on_bar) & pl.col("amount").is_not_null()
    weights = {PLAIN_BAR: one.bar_kg, **dict(one.bars_kg)}
    of_bar = (
        pl.col("bar")
        .fill_null(PLAIN_BAR)
        .replace_strict(weights, default=None, return_dtype=pl.Float64)
    )
    frame = frame.with_columns(
        has_bar=has_bar.fill_null(False),
        added_bar_kg=pl.when(has_bar.fill_null(False)).then(of_bar).otherwise(0.0),
    )
    return add_fault(
        frame,
        pl.col("has_bar") & pl.col("added_bar_kg").is_null(),
        "bar of unknown weight",
        pl.format(
            "'{}': write the kilograms of the {} into the map: [load.bars] \"{}\" = 10",
            "load_as_written",
            "bar",
            "bar",
        ),
    )
