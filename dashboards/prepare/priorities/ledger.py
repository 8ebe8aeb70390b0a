"""The ledger: what each phase bought its muscles and cost the others."""

import textwrap

import polars as pl

from dashboards import words
from dashboards.blocks import Key, Picture, Table, Text
from dashboards.charts.priority_ledger import LedgerLayout, LedgerWords, Rail, draw_ledger
from dashboards.charts.slopes import REFUSED, Rows, SlopeAxis
from dashboards.numbers import amount, count, plural, say_date, signed
from dashboards.prepare.names import muscle_names
from dashboards.prepare.priorities.find import (
    Phase,
    Row,
    estimate_cells,
    heads,
    say_months,
    say_numbers,
    verdict_of,
)
from dashboards.theme.colours import INK2, INK3, LOSS, PROGRESS, rock
from dashboards.told import told, told_plain
from pipeline.core.page_book import PageBook

# Axes of the ledger in %: the first that holds every interval, else the last.
AXES = ((-1.0, 1.5, 0.5), (-2.0, 3.0, 1.0), (-4.0, 6.0, 2.0), (-8.0, 12.0, 4.0))
# Characters of a reason in the columns of numbers, at 11 px, and its lines.
REASON_WIDTH, REASON_LINES = 50, 2
# Sets on the rail at least.
LEAST_RAIL = 30.0
_TEXTS = ("name", "when", "rock", "support", "why1", "why2", "short")
_SAID = ("said", "interval", "short")
_SCHEMA = {
    "i": pl.Int64,
    "k": pl.Int64,
    "usual": pl.Float64,
    "phase": pl.Float64,
    **dict.fromkeys(_TEXTS, pl.String),
    **{
        name: kind
        for side in ("bought", "cost")
        for name, kind in (
            *((field, pl.Float64) for field in (side, f"{side}_low", f"{side}_high")),
            (f"{side}_k", pl.Int64),
            *((f"{side}_{field}", pl.String) for field in _SAID),
        )
    },
}


def ledger_picture(book: PageBook, phases: list[Phase], answer: Text) -> Picture:
    """Every told phase as a row, latest first."""
    families = dict(book.tables["ref_muscle"].select("muscle_id", "family").iter_rows())
    text = LedgerWords(
        *(
            words.plain(f"priorities.head_{key}")
            for key in ("phase", "rail", "lost", "gained", "bought", "cost", "support")
        )
    )
    names = muscle_names(book)
    specks = _specks(phases, names)
    drawn = []
    for is_wide in (True, False):
        rows = [_row(at, one, families, is_wide) for at, one in enumerate(phases)]
        frame = pl.DataFrame(rows, schema=_SCHEMA)
        drawn.append(draw_ledger(frame, specks, _layout(frame, is_wide), text))
    plain = answer.striptags() if hasattr(answer, "striptags") else str(answer)
    return Picture(
        name="ledger",
        title=words.plain("priorities.ledger_title"),
        caption=words.say("priorities.ledger_caption"),
        description=words.plain("priorities.ledger_description", n=len(phases), answer=plain),
        wide=drawn[0],
        narrow=drawn[1],
        keys=_keys(phases),
        table=ledger_table(phases),
        is_main=True,
    )


def _keys(phases: list[Phase]) -> tuple[Key, ...]:
    told = [one for one in phases if one.is_told]
    gains = {verdict_of(one.gain["low"], one.gain["high"]) for one in told}
    costs = {verdict_of(one.cost["low"], one.cost["high"]) for one in told if one.cost}
    keys = (
        (
            Key("square", words.plain("priorities.key_chosen"), PROGRESS if 0 in gains else INK2),
            told,
        ),
        (Key("estimate", words.plain("priorities.key_others"), LOSS if 1 in costs else INK2), told),
        (Key("dot", words.plain("priorities.key_each"), INK3), told),
        (Key("line", words.plain("priorities.key_grey"), INK2), told),
        (Key("dotted", words.plain("priorities.key_refused"), INK3), len(told) < len(phases)),
    )
    return tuple(key for key, is_shown in keys if is_shown)


def _row(at: int, one: Phase, families: dict[str, str], is_wide: bool) -> dict[str, object]:
    usual, phase = one.mean_sets("usual_sets"), one.mean_sets("phase_sets")
    when = words.plain(
        "priorities.when",
        months=say_months(one.start, one.end),
        weeks=plural(one.weeks, "week"),
    )
    if usual is not None and phase is not None and not is_wide:
        when = words.plain(
            "priorities.when_sets", when=when, usual=count(usual), phase=count(phase)
        )
    row: dict[str, object] = {"i": at, "k": 0, "name": one.name, "when": when}
    if not one.is_told:
        lines = _wrap(told_plain(one.gain["support_why"]))
        return row | {"k": REFUSED, "short": words.plain("priorities.reason_short"), **lines}
    of = {families.get(muscle) for muscle in (one.event["subject"] or "").split()}
    family = next(iter(of)) if len(of) == 1 else None
    return row | {
        "usual": usual,
        "phase": phase,
        "rock": rock(family, "within") if family else INK3,
        "support": told_plain(one.support),
        **_side("bought", one.gain),
        **(_side("cost", one.cost) if one.cost and one.cost["estimate"] is not None else {}),
    }


def _side(side: str, found: Row) -> dict[str, object]:
    value, low, high = found["estimate"], found["low"], found["high"]
    said, ends = say_numbers(value, low, high)
    return {
        side: value,
        f"{side}_low": low,
        f"{side}_high": high,
        f"{side}_k": verdict_of(low, high),
        f"{side}_said": said,
        f"{side}_interval": ends,
        f"{side}_short": words.plain(f"priorities.short_{side}", value=said),
    }


def _wrap(why: str) -> dict[str, str]:
    """A reason in the lines that a row has; the table tells it whole."""
    lines = textwrap.wrap(
        words.plain("priorities.reason", why=why),
        REASON_WIDTH,
        max_lines=REASON_LINES,
        placeholder=" …",
    )
    return {f"why{at + 1}": line for at, line in enumerate(lines)}


def _specks(phases: list[Phase], names: dict[str, str]) -> pl.DataFrame:
    rows = [
        {
            "i": at,
            "v": round(row["gain_pct"], 3),
            "tip": words.plain(
                "priorities.speck",
                muscle=names.get(row["muscle_id"], row["muscle_id"]),
                numbers=" ".join(say_numbers(row["gain_pct"], row["low"], row["high"])),
            ),
        }
        for at, one in enumerate(phases)
        for row in one.muscles.filter(pl.col("role") == "other").iter_rows(named=True)
    ]
    return pl.DataFrame(rows, schema={"i": pl.Int64, "v": pl.Float64, "tip": pl.String})


def _layout(frame: pl.DataFrame, is_wide: bool) -> LedgerLayout:
    ends = [
        end
        for side in ("bought", "cost")
        for field in ("low", "high")
        for end in frame[f"{side}_{field}"].drop_nulls()
    ]
    low, high, step = next(
        (one for one in AXES if all(one[0] <= end <= one[1] for end in ends)), AXES[-1]
    )
    ticks = tuple(low + step * at for at in range(round((high - low) / step) + 1))
    if is_wide:
        rows = Rows(1200, 36, 44, frame.height, 24, "datum.i", 22)
        most = max([LEAST_RAIL, *frame["usual"].drop_nulls(), *frame["phase"].drop_nulls()])
        return LedgerLayout(
            rows,
            SlopeAxis(446, 410, low, high, ticks),
            (18, 34, 15, 31),
            Rail(276, 130, most),
            (880, 916, 1016, 1052, 1200),
        )
    rows = Rows(366, 36, 92, frame.height, 24, "datum.i", 58)
    return LedgerLayout(rows, SlopeAxis(8, 350, low, high, ticks), (18, 34, 52, 70), None, None)


def ledger_table(phases: list[Phase]) -> Table:
    """The numbers of the ledger, with the reasons."""
    rows = tuple(
        (
            one.name,
            say_date(one.start),
            say_date(one.end),
            _sets(one),
            *_numbers(one.gain),
            *_numbers(one.cost),
            told(one.support),
            told(one.gain["support_why"]),
        )
        for one in phases
    )
    keys = ("name", "start", "to", "sets", "bought", "interval", "cost", "interval", "support")
    return Table(heads(*keys, "why", numbers=("sets", "bought", "cost")), rows)


def _sets(one: Phase) -> str:
    usual, phase = one.mean_sets("usual_sets"), one.mean_sets("phase_sets")
    if usual is None or phase is None:
        return ""
    return words.plain("numbers.range", low=count(usual), high=count(phase))


def _numbers(found: Row | None) -> tuple[Text, str]:
    if found is None:
        return "", ""
    return estimate_cells(found["estimate"], found["low"], found["high"])


def muscle_table(book: PageBook, phases: list[Phase]) -> Table:
    """Every muscle of every phase: sets, share of all sets, and its index beside ordinary weeks."""
    names = muscle_names(book)
    rows = tuple(
        (
            words.plain("priorities.phase_of", name=one.name, year=one.start.year),
            names.get(row["muscle_id"], row["muscle_id"]),
            words.plain(f"priorities.role_{row['role']}"),
            words.plain(
                "numbers.range", low=amount(row["usual_sets"]), high=amount(row["phase_sets"])
            ),
            _percent(row["usual_share"]),
            _percent(row["phase_share"]),
            *estimate_cells(row["gain_pct"], row["low"], row["high"]),
            _change(row["change_pct"]),
            _change(row["expected_pct"]),
            count(row["n_matched"]),
        )
        for one in phases
        for row in one.muscles.sort("role", "muscle_id").iter_rows(named=True)
    )
    keys = ("phase", "muscle", "role", "sets", "share_usual", "share_phase", "gain", "interval")
    more = ("change", "expected", "matched")
    numbers = ("sets", "share_usual", "share_phase", "gain", *more)
    note = words.say("priorities.muscles_note")
    return Table(heads(*keys, *more, numbers=numbers), rows, note=note)


def _percent(share: float) -> str:
    return words.plain("priorities.percent", value=amount(100 * share))


def _change(value: float | None) -> str:
    return "" if value is None else signed(value)
