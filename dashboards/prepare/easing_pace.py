"""How often and how long deloads were, counted, beside the published survey."""

import polars as pl

from dashboards import words
from dashboards.charts.pace import PaceFrames
from dashboards.numbers import amount, count, figure, say_date
from dashboards.prepare.easing import EasingCounts, Pace, Row
from dashboards.prepare.published import find_fact
from dashboards.prepare.ticks import round_values
from pipeline.core.page_book import PageBook


def pace_frames(book: PageBook, counts: EasingCounts) -> PaceFrames:
    """How often and how long, each on a scale of its own, beside the survey."""
    names, ticks, own, published, scale = [], [], [], [], []
    rows = (("every", counts.every, "deload_every"), ("length", counts.length, "deload_days"))
    for i, (key, pace, fact_id) in enumerate(rows):
        fact = find_fact(book, fact_id)
        most = max([*_reach(pace), fact["high"] if fact else 0.0, 1.0])  # type: ignore[type-var]
        end = 5.0 * -(-float(most) // 5)  # type: ignore[arg-type]
        names.append((i, words.plain(f"easing.pace_{key}")))
        ticks += [(i, value / end) for value in pace.values if value <= end]
        scale += [(i, value / end, figure(value)) for value in round_values(0, end, 5)]
        if pace.mean is not None:
            low, high = pace.ends or (pace.mean, pace.mean)
            own.append(
                (i, pace.mean / end, max(low, 0) / end, min(high / end, 1.0), say_pace(pace))
            )
        if fact is not None:
            ends = [float(fact[column]) / end for column in ("value", "low", "high")]  # type: ignore[arg-type]
            published.append((i, *ends, say_survey(fact)))
    marks = {"i": pl.Int64, **dict.fromkeys(("x", "lo", "hi"), pl.Float64), "label": pl.String}
    return PaceFrames(
        names=pl.DataFrame(names, {"i": pl.Int64, "title": pl.String}, orient="row"),
        ticks=pl.DataFrame(ticks, {"i": pl.Int64, "x": pl.Float64}, orient="row"),
        own=pl.DataFrame(own, marks, orient="row"),
        published=pl.DataFrame(published, marks, orient="row"),
        scale=pl.DataFrame(
            scale, {"i": pl.Int64, "x": pl.Float64, "label": pl.String}, orient="row"
        ),
    )


def _reach(pace: Pace) -> list[float]:
    """How far the scale must go: nearly all values, and the mean's upper end."""
    if not pace.values:
        return [0.0]
    values = pl.Series(pace.values)
    ends = pace.ends or (0.0, 0.0)
    return [float(values.quantile(0.95) or 0.0), ends[1]]


def say_pace(pace: Pace) -> str:
    """The lifter's own mean with one standard deviation either side and the number of values."""
    if pace.mean is None:
        return ""
    low, high = pace.ends or (pace.mean, pace.mean)
    values = {"mean": amount(pace.mean), "low": amount(max(low, 0)), "high": amount(high)}
    key = "easing.pace_one" if values["low"] == values["high"] else "easing.pace_own"
    return words.plain(key, n=count(len(pace.values)), **values)


def say_survey(fact: Row) -> str:
    """The survey's mean with one standard deviation either side."""
    values = {"mean": fact["value"], "low": fact["low"], "high": fact["high"]}
    return words.plain("easing.pace_survey", **{k: amount(v) for k, v in values.items()})


def say_last(counts: EasingCounts) -> str:
    """When the last deload began, how many weeks ago at the record's end, beside the mean
    distance; a count, and nothing is advised."""
    last, mean = counts.last, counts.every.mean
    if last is None:
        return ""
    parted = words.plain("easing.last_parted") if last.is_parted else ""
    values = {"date": say_date(last.start), "weeks": amount(last.weeks), "parted": parted}
    if mean is None:
        return words.plain("easing.last_deload", **values)
    return words.plain("easing.last_deload_mean", mean=amount(mean), **values)
