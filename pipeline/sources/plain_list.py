"""A plain list, one entry a line and no header, to raw rows."""

import polars as pl

from pipeline.core.source import LINE, RawFile, SourceFile, SourceMap
from pipeline.sources.decode import decode


def read_list(file: SourceFile, data: bytes, one: SourceMap) -> RawFile:
    """Each line as the label ``(line)``.

    Raises
    ------
    InputError
        when the file is empty, binary or not in its encoding.
    """
    decoded = decode(file, data, one.encoding)
    lines = decoded.text.removesuffix("\n").split("\n")
    frame = pl.DataFrame(
        {"row_no": range(1, len(lines) + 1), LINE: lines},
        schema={"row_no": pl.Int64(), LINE: pl.String()},
    )
    return RawFile(file, one, decoded.encoding, frame, decoded.warnings)
