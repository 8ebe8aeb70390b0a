"""Pulling against pushing, rear against front shoulder, knee against hip, over the years."""

import math
from datetime import date

import polars as pl

from dashboards import words
from dashboards.blocks import Key, Picture, Table, Text
from dashboards.charts.balances import BalanceFrames, BalanceLayout, draw_balances
from dashboards.numbers import amount, count
from dashboards.prepare.counts import first_and_last
from dashboards.prepare.priorities.find import Row, heads, own, questions_of
from dashboards.theme.colours import INK, INK3
from dashboards.told import told, told_plain
from pipeline.core.page_book import PageBook

PAIRS = ("pull_push", "rear_front", "knee_hip")
KINDS = ("sets", "strength")
QUARTER_DAYS = 91
# Ratios that may stand at the axis, those nearest to one first.
VALUES = (1.0, 0.5, 2.0, 0.8, 1.25, 0.9, 1.1, 1.5, 0.67, 3.0, 0.33, 5.0, 0.2, 10.0, 0.1, 20.0)
LEAST_APART = 0.18
LEAST_SPAN = 0.1
YEAR_PX = 34
WIDE = BalanceLayout(column=620, plot=510, left=44, row=150, across=2, panels=6)
NARROW = BalanceLayout(column=366, plot=286, left=40, row=146, across=1, panels=6)


def quarter_ratios(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """Rows of ``model_balance`` that can be drawn on a scale of ratios."""
    return own(book, lifter_id, "model_balance").filter(pl.col("ratio") > 0)


def balance_picture(book: PageBook, lifter_id: str) -> Picture | None:
    """A small plot a pair and kind; None where no quarter could be counted."""
    ratios = quarter_ratios(book, lifter_id)
    if ratios.is_empty():
        return None
    history = {
        (row["pair_id"], row["kind"]): row
        for row in own(book, lifter_id, "model_balance_own").iter_rows(named=True)
    }
    findings = balance_findings(book, lifter_id)
    frames = [
        _frames(ratios, history, findings, layout, is_wide)
        for layout, is_wide in ((WIDE, True), (NARROW, False))
    ]
    has_interval = frames[0].lines["lo"].is_not_null().any()
    keys = (
        (Key("line", words.plain("priorities.key_quarters"), INK), True),
        (Key("tint", words.plain("priorities.key_interval"), INK3), has_interval),
        (Key("dotted", words.plain("priorities.key_history"), INK3), bool(history)),
    )
    return Picture(
        name="balance",
        title=words.plain("priorities.balance_title"),
        caption=words.say("priorities.balance_caption"),
        description=words.plain("priorities.balance_description", readings=_readings(findings)),
        wide=draw_balances(frames[0], WIDE),
        narrow=draw_balances(frames[1], NARROW),
        keys=tuple(key for key, is_shown in keys if is_shown),
        table=balance_table(history, findings),
        answer=_say_first(history),
    )


def _say_first(history: dict[tuple[str, str], Row]) -> Text:
    """The answer of the pair that is asked for most: which side has more sets, on the figure that
    is shown, and how that compares with before."""
    mine = history.get((PAIRS[0], KINDS[0]))
    if mine is None:
        return ""
    shown = round(mine["ratio"], 2)
    which = "more" if shown > 1 else "fewer" if shown < 1 else "same"
    return words.say(
        f"priorities.balance_{which}",
        ratio=amount(shown, 2),
        reads=words.plain(f"priorities.history_{mine['reads_as']}"),
        low=amount(mine["usual_low"], 2),
        high=amount(mine["usual_high"], 2),
    )


def balance_findings(book: PageBook, lifter_id: str) -> dict[tuple[str, str], Row]:
    """Findings about pairs, by pair and kind."""
    rows = questions_of(book, lifter_id, "balance").iter_rows(named=True)
    parts = ((row["subject"].removeprefix("pair:").split("@"), row) for row in rows)
    return {(key[0], key[1]): row for key, row in parts if len(key) == 2}


def _readings(findings: dict[tuple[str, str], Row]) -> str:
    return " ".join(
        told_plain(row["sentence"]) for row in findings.values() if row["estimate"] is not None
    )


def _frames(
    ratios: pl.DataFrame,
    history: dict[tuple[str, str], Row],
    findings: dict[tuple[str, str], Row],
    layout: BalanceLayout,
    is_wide: bool,
) -> BalanceFrames:
    first, last_quarter = first_and_last(ratios["week_start"])
    days = (last_quarter - first).days + QUARTER_DAYS
    panels, bands, lines, values, years = [], [], [], [], []
    for p, (pair, kind) in enumerate((pair, kind) for pair in PAIRS for kind in KINDS):
        rows = ratios.filter((pl.col("pair_id") == pair) & (pl.col("kind") == kind))
        rows = rows.sort("week_start")
        mine, finding = history.get((pair, kind)), findings.get((pair, kind))
        panel = _panel(pair, kind, mine, finding, is_wide) | {"p": p, "has_own": mine is not None}
        if rows.height:
            scale = _Scale(rows, mine, kind)
            points = _points(rows, scale, first, days, p)
            lines += points
            values += [value | {"p": p} for value in scale.ticks()]
            last = rows.row(-1, named=True)
            panel |= {"v": points[-1]["v"], "t": points[-1]["t"], "now": amount(last["ratio"], 2)}
            if mine is not None:
                high, low = scale.at(mine["usual_high"]), scale.at(mine["usual_low"])
                bands.append({"p": p, "v0": high, "v1": low})
        else:
            panel |= {"why": panel["reads"], "reads": ""}
        panels.append(panel)
        years += [year | {"p": p} for year in _years(first, days, layout.plot)]
    ends = dict.fromkeys(("v0", "v1"), pl.Float64)
    texts = dict.fromkeys(("title", "reads", "now", "why"), pl.String)
    return BalanceFrames(
        pl.DataFrame(
            panels,
            schema={
                "p": pl.Int64,
                "has_own": pl.Boolean,
                **texts,
                "v": pl.Float64,
                "t": pl.Float64,
            },
        ),
        pl.DataFrame(bands, schema={"p": pl.Int64, **ends}),
        pl.DataFrame(
            lines,
            schema={
                "p": pl.Int64,
                "s": pl.Int64,
                **dict.fromkeys(("t", "v", "lo", "hi"), pl.Float64),
            },
        ),
        pl.DataFrame(
            values,
            schema={"p": pl.Int64, "v": pl.Float64, "label": pl.String, "is_one": pl.Boolean},
        ),
        pl.DataFrame(years, schema={"p": pl.Int64, "t": pl.Float64, "label": pl.String}),
    )


class _Scale:
    """Ratios on a log scale, as shares of a plot's height from its top."""

    def __init__(self, rows: pl.DataFrame, mine: Row | None, kind: str) -> None:
        ends = [one for field in ("ratio", "low", "high") for one in rows[field].drop_nulls()]
        if mine is not None:
            ends += [mine["usual_low"], mine["usual_high"]]
        if kind == "strength":
            ends.append(1.0)
        known = [math.log(one) for one in ends if one > 0]
        middle, half = (max(known) + min(known)) / 2, (max(known) - min(known)) / 2
        half = 1.06 * max(half, LEAST_SPAN)
        self._high, self._span, self._kind = middle + half, 2 * half, kind

    def at(self, ratio: float) -> float:
        """The place of a ratio; none lies beyond the plot."""
        share = (self._high - math.log(max(ratio, 1e-6))) / self._span
        return round(min(max(share, 0.0), 1.0), 4)

    def ticks(self) -> list[dict[str, object]]:
        """Round ratios that keep apart; one is an ink line only where it means the own start."""
        made: list[dict[str, object]] = []
        taken: list[float] = []
        for value in VALUES:
            share = (self._high - math.log(value)) / self._span
            if 0.02 < share < 0.98 and all(abs(share - one) >= LEAST_APART for one in taken):
                taken.append(share)
                label = amount(value, 2) if value not in (2, 3, 5, 10, 20, 1) else count(value)
                is_one = value == 1.0 and self._kind == "strength"
                made.append({"v": round(share, 4), "label": label, "is_one": is_one})
        return made


def _points(
    rows: pl.DataFrame, scale: _Scale, first: date, days: int, p: int
) -> list[dict[str, object]]:
    """The quarters in order, each at its middle; a quarter without a value ends a run."""
    made: list[dict[str, object]] = []
    run, was = 100 * p, None
    for row in rows.iter_rows(named=True):
        if was is not None and (row["week_start"] - was).days > QUARTER_DAYS + 7:
            run += 1
        was = row["week_start"]
        middle = (row["week_start"] - first).days + QUARTER_DAYS / 2
        made.append(
            {
                "p": p,
                "s": run,
                "t": round(middle / days, 4),
                "v": scale.at(row["ratio"]),
                "lo": None if row["low"] is None else scale.at(row["low"]),
                "hi": None if row["high"] is None else scale.at(row["high"]),
            }
        )
    return made


def _years(first: date, days: int, plot: float) -> list[dict[str, object]]:
    """Januaries within the record, as many as keep apart."""
    last = first.year + math.ceil(days / 365.25)
    starts = [date(year, 1, 1) for year in range(first.year + 1, last + 1)]
    inside = [one for one in starts if 0 <= (one - first).days <= days]
    every = max(1, math.ceil(len(inside) * YEAR_PX / plot))
    return [
        {"t": round((one - first).days / days, 4), "label": str(one.year)}
        for one in inside[::every]
    ]


def panel_title(pair: str, kind: str) -> str:
    """What a panel shows: counted sets go by movement, strength by the muscles' sides."""
    if kind == "sets":
        return words.plain(f"priorities.sets_{pair}")
    return words.plain("priorities.panel_strength", pair=words.plain(f"priorities.pair_{pair}"))


def _panel(
    pair: str, kind: str, mine: Row | None, finding: Row | None, is_wide: bool
) -> dict[str, object]:
    title = panel_title(pair, kind)
    if mine is not None:
        return {"title": title, "reads": words.plain(f"priorities.history_{mine['reads_as']}")}
    if finding is None:
        return {"title": title, "reads": words.plain("priorities.reason_short")}
    if is_wide:
        why = words.plain("priorities.reason", why=told_plain(finding["support_why"]))
        return {"title": title, "reads": why}
    needs = {"n": count(finding["n"]), "needed": count(finding["needed"] or 0)}
    return {"title": title, "reads": words.plain("priorities.reason_counts", **needs)}


def balance_table(
    history: dict[tuple[str, str], Row], findings: dict[tuple[str, str], Row]
) -> Table:
    """Now and own history of every pair."""
    rows = []
    for (pair, kind), finding in findings.items():
        mine = history.get((pair, kind))
        name = panel_title(pair, kind)
        cells = ("", "", "", "", "", "") if mine is None else _own_cells(mine)
        rows.append((name, *cells, told(finding["support"]), told(finding["support_why"])))
    order = {
        panel_title(pair, kind): at
        for at, (pair, kind) in enumerate((pair, kind) for pair in PAIRS for kind in KINDS)
    }
    rows.sort(key=lambda row: order[row[0]])
    keys = ("name", "now", "interval", "middle", "spread", "quarters", "reads", "support", "why")
    return Table(heads(*keys, numbers=("now", "middle", "quarters")), tuple(rows))


def _own_cells(mine: Row) -> tuple[str, ...]:
    ends = (mine["low"], mine["high"])
    return (
        amount(mine["ratio"], 2),
        "" if ends[0] is None else _span("numbers.interval", *ends),
        amount(mine["usual"], 2),
        _span("numbers.range", mine["usual_low"], mine["usual_high"]),
        count(mine["quarters"]),
        words.plain(f"priorities.history_{mine['reads_as']}"),
    )


def _span(key: str, low: float, high: float) -> str:
    return words.plain(key, low=amount(low, 2), high=amount(high, 2))
