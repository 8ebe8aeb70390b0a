"""Columns of text as numbers: what is said of a text is found once and looked up for every row."""

import polars as pl

from pipeline.core.written import DIRECTION_MARKS, NOTHING

_MARKS = f"[{DIRECTION_MARKS}]"


def clean_texts(column: pl.Series) -> pl.Series:
    """A categorical column of its texts without blanks around them and marks of direction.

    Null where one says nothing.
    """
    coded = _code(column)
    known = _categories(coded)
    clean = known.str.replace_all(_MARKS, "").str.strip_chars()
    clean = clean.set(clean.is_in(NOTHING), None)
    if clean.equals(known, null_equal=True):
        return coded
    return _code(clean.gather(coded.to_physical()).alias(column.name))


def code_texts(column: pl.Series) -> tuple[pl.Series, pl.Series]:
    """The distinct texts of a column, and each row's place among them, from 0; null stays null.

    Of a categorical column also texts that no row has any more.
    """
    coded = _code(column)
    return _categories(coded), coded.to_physical()


def spread(values: pl.Series, codes: pl.Series) -> pl.Series:
    """The value of each row by its place among ``values``; nulls alone are not looked up."""
    if values.null_count() == len(values):
        return pl.repeat(None, len(codes), dtype=values.dtype, eager=True).alias(values.name)
    return values.gather(codes)


def place_among(is_one: pl.Series) -> pl.Series:
    """Each row's place among those for which ``is_one`` holds, from 0; null for the others."""
    place = is_one.cast(pl.Int64).cum_sum() - 1
    return place.set(~is_one, None)


def look_up(frame: pl.DataFrame, text: str, table: pl.DataFrame) -> pl.DataFrame:
    """Add the other columns of ``table``, one row for each text of the column ``text``."""
    texts, codes = code_texts(frame[text])
    own = pl.DataFrame({text: texts})
    found = own.join(table, on=text, how="left", maintain_order="left").drop(text)
    return frame.with_columns(spread(column, codes) for column in found)


def as_text(frame: pl.DataFrame) -> pl.DataFrame:
    """``frame`` with its categorical columns as plain text."""
    coded = frame.select(pl.selectors.categorical())
    return frame.with_columns(spread(*code_texts(column)).alias(column.name) for column in coded)


def _code(column: pl.Series) -> pl.Series:
    """The column as a categorical one of its own: in the common one texts stay until the end."""
    if isinstance(column.dtype, pl.Categorical):
        return column
    return column.cast(pl.Categorical(pl.Categories.random()))


def _categories(coded: pl.Series) -> pl.Series:
    codes = coded.to_physical()
    n = 0 if codes.null_count() == len(codes) else int(codes.max()) + 1  # type: ignore[arg-type]
    every = pl.Series("code", range(n), dtype=codes.dtype).to_frame()
    return every.select(pl.col("code").cat.to(coded.dtype).cast(pl.String))["code"]
