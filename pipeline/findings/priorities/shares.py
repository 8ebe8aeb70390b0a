"""Each muscle's share of the weekly sets beside its share of the progress, over spans of time.

Progress is the rise of the strength index; a share of it is the muscle's rise over the rise of all
muscles with an index, log x 100. Its interval comes from the errors of the index at both ends,
taken as independent: exact only for spans of years. No share where the whole rise is not clearly
above zero.
"""

from collections.abc import Iterator, Mapping
from datetime import timedelta

import numpy as np

from pipeline.findings.arrays import Record
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.models.arrays import Floats
from pipeline.models.weeks import WEEKS_PER_YEAR

# Spans of time by name: years back from the last week, None the whole record.
SPANS: dict[str, float | None] = {"all": None, "three_years": 3.0, "year": 1.0}
N_DRAWS = 2000
TAILS = (2.5, 97.5)


def share_rows(record: Record, fitted: Mapping[str, IndexWeeks]) -> list[dict[str, object]]:
    """Rows of table ``model_share``; a span longer than the record has none."""
    rows: list[dict[str, object]] = []
    for span, years in SPANS.items():
        length = record.n_weeks - 1 if years is None else round(years * WEEKS_PER_YEAR)
        first = record.n_weeks - 1 - length
        if length > 0 and first >= 0:
            rows += _span_rows(record, fitted, span, first)
    return rows


def _span_rows(
    record: Record, fitted: Mapping[str, IndexWeeks], span: str, first: int
) -> Iterator[dict[str, object]]:
    ends = {name: _ends_of(one, first) for name, one in fitted.items()}
    known = [name for name, weeks in ends.items() if weeks is not None]
    if not known:
        return
    total = sum(float(np.nansum(record.weekly_sets[name][first:])) for name in known)
    shares = _progress_shares([_rise(fitted[name], ends[name]) for name in known])
    dates = {
        "span": span,
        "from_date": record.week_start(first),
        "to_date": record.week_start(record.n_weeks - 1) + timedelta(days=6),
    }
    for name, share in zip(known, shares, strict=True):
        sets = record.weekly_sets[name][first:]
        sets_share = float(np.nansum(sets)) / max(total, 1.0)
        rise = 100.0 * _rise(fitted[name], ends[name])[0]
        row = {"muscle_id": name, "weekly_sets": float(np.nanmean(sets)), "sets_share": sets_share}
        yield {**dates, **row, "change_pct": rise, **_share_fields(share, sets_share)}


def _ends_of(index: IndexWeeks, first: int) -> tuple[int, int] | None:
    """First and last week with a level from ``first`` on; None without two."""
    weeks = first + np.flatnonzero(np.isfinite(index.level_log[first:]))
    return (int(weeks[0]), int(weeks[-1])) if weeks.size > 1 else None


def _rise(index: IndexWeeks, ends: tuple[int, int] | None) -> tuple[float, float]:
    """Change of the index, log, and its standard error."""
    assert ends is not None
    start, stop = ends
    return (
        float(index.level_log[stop] - index.level_log[start]),
        float(np.hypot(index.se[start], index.se[stop])),
    )


def _progress_shares(rises: list[tuple[float, float]]) -> list[tuple[float, float, float] | None]:
    """(share, low, high) of each, all None where the whole rise may be none."""
    change, se = np.array(rises).T
    rng = np.random.default_rng(0)
    draws: Floats = change + se * rng.standard_normal((N_DRAWS, change.size))
    whole = draws.sum(axis=1)
    if np.percentile(whole, TAILS[0]) <= 0.0:
        return [None] * change.size
    low, high = np.percentile(draws / whole[:, None], TAILS, axis=0)
    share = change / change.sum()
    return [tuple(map(float, one)) for one in zip(share, low, high, strict=True)]  # type: ignore[misc]


def _share_fields(share: tuple[float, float, float] | None, sets_share: float) -> dict[str, object]:
    if share is None:
        return {"progress_share": None, "low": None, "high": None, "is_clear": False}
    value, low, high = share
    is_clear = not low <= sets_share <= high
    return {"progress_share": value, "low": low, "high": high, "is_clear": is_clear}
