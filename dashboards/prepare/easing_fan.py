"""Frames of the fan: strength around deloads and around ordinary weeks like them."""

from itertools import pairwise

import polars as pl

from dashboards import words
from dashboards.charts.fan import BRACKET_WEEK, FanFrames
from dashboards.numbers import count, signed
from dashboards.prepare.easing import Row, is_answered, tone_of
from dashboards.prepare.ticks import value_ticks
from pipeline.core.page_book import PageBook

LINE = ("x0", "y0", "x1", "y1")
# Weeks after a deload that the finding speaks of (pipeline.models.deload).
WEEKS_OF_EFFECT = (1.0, 2.0, 3.0)
SERIES = {"after_deloads": "after", "ordinary_weeks": "ordinary"}


def fan_frames(book: PageBook, lifter_id: str, finding: Row | None) -> FanFrames:
    """Frames of the fan; all empty where the question is refused."""
    paths = book.tables["model_deload_path"].filter(pl.col("lifter_id") == lifter_id)
    means = _means(paths)
    singles = paths.filter(pl.col("series") == "event").sort("event_id", "week_offset")
    difference = _difference(means, finding)
    domain = _fan_domain(singles["value_pct"], means, difference)
    offsets = sorted(means["x"].unique()) if means.height else [-3, -2, -1, 1, 2, 3, 4, 5]
    last = max(offsets)
    places = [float(x) for x in range(-3, int(last) + 1) if x]
    tone = tone_of(finding["low"], finding["high"]) if finding else ""
    return FanFrames(
        lines=_single_lines(singles.filter(pl.col("week_offset") <= last), domain),
        means=means,
        difference=difference,
        outline=_outline(paths, last),
        names=_names(means, finding),
        values=value_ticks(*domain, 6),
        places=pl.DataFrame({"v": places, "label": [signed(x, 0) for x in places]}),
        domain=domain,
        tone=tone or "ink2",
    )


def _means(paths: pl.DataFrame) -> pl.DataFrame:
    return (
        paths.filter(pl.col("series").is_in(list(SERIES)))
        .select(
            series=pl.col("series").replace_strict(SERIES, return_dtype=pl.String),
            side=pl.when(pl.col("week_offset") < 0).then(-1).otherwise(1),
            x=pl.col("week_offset").cast(pl.Float64),
            y=pl.col("value_pct").round(2),
            lo=pl.col("low_pct").round(2),
            hi=pl.col("high_pct").round(2),
        )
        .sort("series", "x")
    )


def _outline(paths: pl.DataFrame, last: float) -> pl.DataFrame:
    """What textbook constants would draw: x, y, from the first week after the deload on."""
    textbook = paths.filter(
        (pl.col("series") == "textbook") & pl.col("week_offset").is_between(1, last)
    )
    x, y = pl.col("week_offset").cast(pl.Float64), pl.col("value_pct").round(2)
    return textbook.sort("week_offset").select(x=x, y=y)


def _difference(means: pl.DataFrame, finding: Row | None) -> pl.DataFrame:
    """The bracket: from the ordinary weeks 1 to 3 up or down by the finding's estimate."""
    schema = {**dict.fromkeys(("y0", "y1", "lo", "hi"), pl.Float64), "label": pl.String}
    ordinary = means.filter(
        (pl.col("series") == "ordinary") & pl.col("x").is_in(list(WEEKS_OF_EFFECT))
    )["y"]
    if not is_answered(finding) or ordinary.is_empty():
        return pl.DataFrame(schema=schema)
    assert finding is not None
    foot = float(ordinary.mean())  # type: ignore[arg-type]
    ends = [round(foot + finding[key], 2) for key in ("estimate", "low", "high")]
    label = words.plain("easing.difference", size=signed(finding["estimate"]))
    return pl.DataFrame([(round(foot, 2), *ends, label)], schema=schema, orient="row")


def _fan_domain(
    singles: pl.Series, means: pl.DataFrame, difference: pl.DataFrame
) -> tuple[float, float]:
    """Most single values and all of the means; what lies past it is cut."""
    ends = [-1.0, 1.0]
    if len(singles):
        ends += [float(singles.quantile(q) or 0) for q in (0.07, 0.93)]
    for series in (means["lo"], means["hi"], difference["lo"], difference["hi"]):
        ends += [float(value) for value in series.drop_nulls()]
    return round(min(ends) - 0.3, 1), round(max(ends) + 0.6, 1)


def _single_lines(singles: pl.DataFrame, domain: tuple[float, float]) -> pl.DataFrame:
    """Steps of every single deload, cut at the picture's edge and open in the deload week."""
    rows = []
    for _, path in singles.group_by("event_id", maintain_order=True):
        points = list(path.select("week_offset", "value_pct").iter_rows())
        for (x0, y0), (x1, y1) in pairwise(points):
            if x1 - x0 == 1:
                rows.append(cut_line((x0, y0, x1, y1), domain))
    kept = [row for row in rows if row is not None]
    frame = pl.DataFrame(kept, schema=dict.fromkeys(LINE, pl.Float64), orient="row")
    return frame.with_columns(pl.all().round(2))


def cut_line(
    line: tuple[float, float, float, float], domain: tuple[float, float]
) -> tuple[float, float, float, float] | None:
    """The part of a line x0, y0, x1, y1 whose y lies inside the domain, or None."""
    x0, y0, x1, y1 = line
    shares = [0.0, 1.0]
    if y0 != y1:
        first, last = sorted((end - y0) / (y1 - y0) for end in domain)
        shares = [max(0.0, first), min(1.0, last)]
    elif not domain[0] <= y0 <= domain[1]:
        return None
    if shares[0] >= shares[1]:
        return None
    (a, b), across, up = shares, x1 - x0, y1 - y0
    return x0 + a * across, y0 + a * up, x0 + b * across, y0 + b * up


def _names(means: pl.DataFrame, finding: Row | None) -> pl.DataFrame:
    """Names of the two courses: the higher one's over its band where that begins, the lower one's
    under its band past the bracket, where the two are furthest apart."""
    schema = {"x": pl.Float64, "y": pl.Float64, "label": pl.String, "series": pl.String}
    weeks = means.filter(pl.col("x") > 0).select("series", "x", "y", "lo", "hi")
    both = weeks.filter(pl.col("series") == "after").join(
        weeks.filter(pl.col("series") == "ordinary"), on="x", suffix="_ordinary"
    )
    if both.is_empty() or finding is None:
        return pl.DataFrame(schema={**schema, "dy": pl.Int64})
    first = both.sort("x").row(0, named=True)
    is_above = first["y"] >= first["y_ordinary"]
    upper, lower = ("", "_ordinary") if is_above else ("_ordinary", "")
    apart = pl.col(f"lo{upper}") - pl.col(f"hi{lower}")
    past = both.filter(pl.col("x") > BRACKET_WEEK)
    past = both if past.is_empty() else past
    far = past.sort(apart, "x", descending=[True, False]).row(0, named=True)
    labels = {
        "after": words.plain("easing.course_after", deloads=count(finding["n"])),
        "ordinary": words.plain("easing.course_ordinary"),
    }
    over, under = ("after", "ordinary") if is_above else ("ordinary", "after")
    made = [
        (first["x"], first[f"hi{upper}"], labels[over], over, -10),
        (far["x"], far[f"lo{lower}"], labels[under], under, 10),
    ]
    return pl.DataFrame(made, schema={**schema, "dy": pl.Int64}, orient="row")
