"""Each muscle's share of the weekly sets beside its share of the progress."""

import polars as pl

from dashboards import words
from dashboards.blocks import Key, Picture, Table
from dashboards.charts.set_shares import ShareWords, draw_shares
from dashboards.charts.slopes import REFUSED, Rows, SlopeAxis, SlopeLayout
from dashboards.numbers import amount, say_date, signed
from dashboards.prepare.names import muscle_names
from dashboards.prepare.priorities.find import heads, own
from dashboards.prepare.ticks import round_values
from dashboards.theme.colours import INK2, INK3, LOSS, PROGRESS
from pipeline.core.page_book import PageBook

# The span that is drawn: three years where the record has them, else all of it.
DRAWN = ("three_years", "all")
_SCHEMA = {
    "i": pl.Int64,
    "name": pl.String,
    **dict.fromkeys(("est", "low", "high", "then"), pl.Float64),
    "k": pl.Int64,
    **dict.fromkeys(("sets", "number", "interval", "reads", "both", "reason"), pl.String),
}


def share_picture(book: PageBook, lifter_id: str) -> Picture | None:
    """Muscles by the difference of the two shares; None without a span that has any."""
    shares = own(book, lifter_id, "model_share")
    span = next((one for one in DRAWN if (shares["span"] == one).any()), None)
    if span is None:
        return None
    drawn = shares.filter(pl.col("span") == span).sort(
        pl.col("progress_share") - pl.col("sets_share"),
        "sets_share",
        descending=True,
        nulls_last=True,
    )
    names = muscle_names(book)
    rows = [_row(at, row, names) for at, row in enumerate(drawn.iter_rows(named=True))]
    frame = pl.DataFrame(rows, schema=_SCHEMA)
    text = ShareWords(
        *(words.plain(f"priorities.share_{key}") for key in ("sets", "progress", "reads", "axis"))
    )
    is_told = bool((frame["k"] < REFUSED).any())
    dates = {"from_": say_date(drawn["from_date"][0]), "to": say_date(drawn["to_date"][0])}
    return Picture(
        name="shares",
        title=words.plain("priorities.share_title"),
        caption=words.say(
            "priorities.share_caption" if is_told else "priorities.share_refused", **dates
        ),
        description=words.plain(
            "priorities.share_description", n=frame.height, clear=int(drawn["is_clear"].sum())
        ),
        wide=draw_shares(frame, _layout(frame, True), text),
        narrow=draw_shares(frame, _layout(frame, False), text),
        keys=_keys(frame),
        table=share_table(shares, names),
    )


def _keys(frame: pl.DataFrame) -> tuple[Key, ...]:
    verdicts = set(frame["k"])
    keys = (
        (Key("ring", words.plain("priorities.key_sets"), INK2), True),
        (Key("estimate", words.plain("priorities.key_more"), PROGRESS), 0 in verdicts),
        (Key("estimate", words.plain("priorities.key_less"), LOSS), 1 in verdicts),
        (Key("estimate", words.plain("priorities.key_share"), INK2), 3 in verdicts),
        (Key("dotted", words.plain("priorities.key_no_share"), INK3), REFUSED in verdicts),
    )
    return tuple(key for key, is_shown in keys if is_shown)


def _row(at: int, row: dict, names: dict[str, str]) -> dict[str, object]:
    sets = amount(100 * row["sets_share"])
    made: dict[str, object] = {
        "i": at,
        "name": names.get(row["muscle_id"], row["muscle_id"]),
        "then": round(100 * row["sets_share"], 2),
        "sets": sets,
    }
    if row["progress_share"] is None:
        return made | {"k": REFUSED, "reason": words.plain("priorities.reason_short")}
    verdict = _verdict(row)
    number = amount(100 * row["progress_share"])
    return made | {
        "est": round(100 * row["progress_share"], 2),
        "low": round(100 * row["low"], 2),
        "high": round(100 * row["high"], 2),
        "k": verdict,
        "number": number,
        "interval": _ends(row),
        "reads": _reads(verdict),
        "both": words.plain("priorities.share_both", sets=sets, progress=number),
    }


def _verdict(row: dict) -> int:
    if not row["is_clear"]:
        return 3
    return 0 if row["low"] > row["sets_share"] else 1


def _reads(verdict: int) -> str:
    return words.plain(f"priorities.reads_{('more', 'less', '', 'unclear')[verdict]}")


def _ends(row: dict) -> str:
    low, high = amount(100 * row["low"]), amount(100 * row["high"])
    return words.plain("numbers.interval", low=low, high=high)


def _layout(frame: pl.DataFrame, is_wide: bool) -> SlopeLayout:
    ends = [end for field in ("low", "high", "then") for end in frame[field].drop_nulls()]
    low, high = min([0.0, *ends]), 1.04 * max([1.0, *ends])
    low = 1.04 * low
    ticks = tuple(round_values(low, high, 7 if is_wide else 5))
    if is_wide:
        rows = Rows(1200, 36, 24, frame.height, 24, "datum.i", 12)
        return SlopeLayout(rows, SlopeAxis(112, 640, low, high, ticks, False), 16, (830, 944, 1200))
    rows = Rows(366, 36, 42, frame.height, 24, "datum.i", 30)
    return SlopeLayout(rows, SlopeAxis(8, 350, low, high, ticks, False), 14, None)


def share_table(shares: pl.DataFrame, names: dict[str, str]) -> Table:
    """Every span: last three years, the last year, the whole record."""
    order = {"three_years": 0, "year": 1, "all": 2}
    spans = sorted(shares["span"].unique(), key=order.__getitem__)
    rows = tuple(
        (
            words.plain(f"priorities.span_{span}"),
            names.get(row["muscle_id"], row["muscle_id"]),
            amount(row["weekly_sets"]),
            amount(100 * row["sets_share"]),
            signed(row["change_pct"]),
            "" if row["progress_share"] is None else amount(100 * row["progress_share"]),
            "" if row["progress_share"] is None else _ends(row),
            words.plain("priorities.reason_short")
            if row["progress_share"] is None
            else _reads(_verdict(row)),
        )
        for span in spans
        for row in shares.filter(pl.col("span") == span).iter_rows(named=True)
    )
    keys = ("span", "muscle", "weekly", "share_sets", "rise", "share_progress", "interval", "reads")
    numbers = ("weekly", "share_sets", "rise", "share_progress")
    return Table(heads(*keys, numbers=numbers), rows)
