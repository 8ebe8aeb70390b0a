"""What the parts of one large table say together."""

from collections.abc import Sequence
from dataclasses import asdict, replace

import polars as pl

from pipeline.core.source import RawFile, SourceMap
from pipeline.tidy.tidy_file import FileCounts, TidyFile, bar_warning


def sum_parts(parts: Sequence[TidyFile], one: SourceMap) -> TidyFile:
    """Counts, names and warnings of all parts as those of one file; its tables are those of the
    parts, one under the other.

    Parameters
    ----------
    parts : at least one, in the order of the file, each day in one of them.
    """
    if len(parts) == 1:
        return parts[0]
    counts = [asdict(part.counts) for part in parts]
    n_bars = sum(part.n_with_bar for part in parts)
    own = bar_warning(parts[0].n_with_bar, one)
    warnings = [told for told in parts[0].warnings if told not in own]
    names = pl.concat([part.names for part in parts])
    return replace(
        parts[0],
        sets=pl.concat([part.sets for part in parts]),
        signals=pl.concat([part.signals for part in parts]),
        set_aside=pl.concat([part.set_aside for part in parts]),
        counts=FileCounts(**{name: sum(each[name] for each in counts) for name in counts[0]}),
        names=names.unique("exercise_as_written", keep="first").sort("exercise_as_written"),
        warnings=(*warnings, *bar_warning(n_bars, one)),
        n_with_bar=n_bars,
    )


def days_of(raw: RawFile, part: TidyFile) -> set[object]:
    """The days of a part, as kept and as written: no day may stand in two parts."""
    label = raw.map.columns.get("date")
    written = raw.frame[label] if label in raw.frame.columns else pl.Series(dtype=pl.String)
    return {*part.sets["session_date"].unique(), *written.unique().drop_nulls()}
