"""Pictures of a proposal, each drawn wide and narrow, with its words."""

from itertools import accumulate
from textwrap import wrap

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Key, Picture
from dashboards.charts.axes import text_width
from dashboards.charts.limit_bars import LimitFrames, LimitLayout, draw_limit
from dashboards.charts.next_phase import ProposalFrames, ProposalLayout, draw_proposal
from dashboards.charts.week_grid import GridFrames, draw_grid
from dashboards.numbers import amount, count, figure
from dashboards.prepare.next_phase.proposals import ROLES, Proposed, Row, is_change
from dashboards.prepare.next_phase.say import say_expected
from dashboards.prepare.next_phase.tables import because_of, grid_table, limit_table, muscle_table
from dashboards.prepare.ticks import place_ticks
from dashboards.theme.colours import INK, PRIOR, rock
from dashboards.told import told_plain

# Room for a name within its bar, px on each side.
PAD = 6
# Room that a total needs before the line of the limit, px.
NEAR = 40
LIMIT_LAYOUTS = LimitLayout(50, 1070, 80), LimitLayout(40, 290, 36)
# A step of no more than this, as shown, is what whole sets do to a mean of weeks.
LARGEST_SAME = 0.5
GRID_SIZES = (620, 96), (366, 76)
NARROW_WIDTH = 354
NARROW = ProposalLayout(
    *(6, NARROW_WIDTH, 6, 10, 55, 10, 27, 10),
    columns=(("short", NARROW_WIDTH, "right", ""),),
    has_groups=False,
    line=13,
)


def proposal_picture(one: Proposed) -> Picture:
    """Every muscle with its range, sets now and next, what is expected and why."""
    frames = _proposal_frames(one)
    keys = [Key("rule", words.plain("next_phase.key_now"), INK)]
    if one.of_role("build"):
        keys.append(Key("arrow", words.plain("next_phase.key_more"), INK))
    if one.of_role("ease"):
        keys.append(Key("arrow-left", words.plain("next_phase.key_less"), INK))
    if not one.is_published:
        keys.append(Key("swatch", words.plain("next_phase.key_range"), rock("legs", "below")))
    if one.muscles["is_published"].any():
        keys.append(Key("lozenge", words.plain("next_phase.key_published"), PRIOR))
    return Picture(
        name=proposal_name(one),
        title=words.plain("next_phase.proposal_title"),
        caption=words.say("next_phase.proposal_caption"),
        description=words.plain(
            "next_phase.proposal_description",
            muscles=count(one.muscles.height),
            **{role: count(len(one.of_role(role))) for role in ROLES},
        ),
        wide=draw_proposal(frames, _wide_layout()),
        narrow=draw_proposal(frames, NARROW),
        keys=tuple(keys),
        table=muscle_table(one),
        is_main=True,
    )


def proposal_name(one: Proposed) -> str:
    """Where a link to the picture of a proposal leads."""
    return f"proposal-{one.version}"


def _wide_layout() -> ProposalLayout:
    columns = (
        ("was", 438, "right", words.plain("next_phase.head_now")),
        ("to", 482, "right", words.plain("next_phase.head_next")),
        ("expected", 506, "left", words.plain("next_phase.head_expected")),
        ("because", 640, "left", words.plain("next_phase.head_because")),
        ("support", 924, "left", words.plain("next_phase.head_support")),
    )
    return ProposalLayout(210, 355, 635, 34, 30, 14, 15, 15, columns, True)


def _proposal_frames(one: Proposed) -> ProposalFrames:
    known = [role for role in ROLES if one.of_role(role)]
    most = max(one.muscles.select(pl.max_horizontal("sets_now", "sets_next")).to_series())
    seen = one.muscles.filter(~pl.col("is_published"))["range_high"]
    highest = max([most * 1.15, 25.0, *(min(v, 2.0 * most) for v in seen)])
    end = 5.0 * -(-highest // 5)
    rows = [
        _proposal_row(i, known.index(row["role"]), row, end)
        for i, row in enumerate(one.muscles.to_dicts())
    ]
    reasons = [wrap(row["because"], int(NARROW_WIDTH / text_width("m"))) for row in rows]
    more = accumulate((len(lines) - 1 for lines in reasons[:-1]), initial=0)
    frame = pl.DataFrame(rows, infer_schema_length=None).with_columns(
        pl.col(pl.Float64).round(2), w=pl.Series(list(more))
    )
    places = frame.select("i", "g", "w")
    groups = frame.group_by("role", maintain_order=True).first().select("i", "g", "w", "role")
    labels = [words.plain(f"next_phase.{role}") for role in groups["role"]]
    return ProposalFrames(
        rows=frame,
        reasons=pl.DataFrame(
            [
                {**place, "k": k, "label": line}
                for place, lines in zip(places.to_dicts(), reasons, strict=True)
                for k, line in enumerate(lines)
            ]
        ),
        groups=groups.with_columns(label=pl.Series(labels, dtype=pl.String)),
        places=place_ticks(0, end, 4),
        end=end,
    )


def _proposal_row(i: int, g: int, row: Row, end: float) -> Row:
    moves = is_change(row)
    values = {"now": amount(row["sets_now"]), "next": amount(row["sets_next"])}
    shown = round(row["sets_next"], 1) - round(row["sets_now"], 1)
    is_same = round(abs(shown), 1) <= LARGEST_SAME
    return {
        "i": i,
        "g": g,
        "f": row["f"],
        "role": row["role"],
        "name": row["name"],
        "lo": min(row["range_low"], end),
        "hi": min(row["range_high"], end),
        "open": int(row["range_high"] > end),
        "now": row["sets_now"],
        "next": row["sets_next"],
        "published": int(row["is_published"]),
        "refused": int(row["support"] == "not enough"),
        "moves": int(moves),
        "was": values["now"],
        "to": words.plain("next_phase.unchanged") if is_same else values["next"],
        "expected": say_expected({**row, "expected": row["expected_pct_month"]}, "expected"),
        "because": because_of(row),
        "support": told_plain(row["support"]),
        "short": words.plain(
            "next_phase.short_same" if is_same else "next_phase.short",
            role=words.plain(f"next_phase.{row['role']}").lower(),
            **values,
        ),
    }


def limit_picture(one: Proposed, is_wished: bool) -> Picture:
    """Sets a week now and next by family, against the most there is room for."""
    limit = one.head["limit_sets"]
    total = {"now": one.sets_now, "next": float(one.head["weekly_sets"])}
    end = 1.02 * max(limit, *total.values())
    said = words.plain(
        "next_phase.limit_wished" if is_wished else "next_phase.limit_usual", sets=count(limit)
    )
    parts = one.sets_by_family()
    drawn = [
        draw_limit(
            LimitFrames(
                _label_parts(parts, layout.width / end),
                _limit_rows(total, limit, NEAR * end / layout.width),
                limit,
                said,
                end,
            ),
            layout,
        )
        for layout in LIMIT_LAYOUTS
    ]
    caption = [words.say("next_phase.limit_caption")]
    if not is_wished:
        caption.append(words.say("next_phase.limit_caption_usual"))
    return Picture(
        name=f"limit-{one.version}",
        title=words.plain("next_phase.limit_title"),
        caption=Markup(" ").join(caption),
        description=words.plain(
            "next_phase.limit_description",
            limit=said,
            **{name: count(value) for name, value in total.items()},
        ),
        wide=drawn[0],
        narrow=drawn[1],
        table=limit_table(parts),
    )


def _limit_rows(total: dict[str, float], limit: float, near: float) -> pl.DataFrame:
    """Totals stand at the end of their bar; past the limit where they would touch its line."""
    rows = [
        {
            "i": i,
            "name": words.plain(f"next_phase.head_{name}"),
            "at": limit if 0 <= limit - value < near else value,
            "text": count(value),
        }
        for i, (name, value) in enumerate(total.items())
    ]
    return pl.DataFrame(rows, infer_schema_length=None)


def _label_parts(parts: pl.DataFrame, px_per_set: float) -> pl.DataFrame:
    """Bars from left to right, each with the words that fit into it."""
    rows = []
    for i, name in enumerate(("now", "next")):
        at = 0.0
        for part in parts.iter_rows(named=True):
            sets = part[name]
            if sets <= 0:
                continue
            room = sets * px_per_set - 2 * PAD
            whole = f"{part['name']} {count(sets)}"
            fits = [text for text in (whole, count(sets), "") if text_width(text) <= max(room, 0)]
            rows.append({"i": i, "f": part["f"], "x0": at, "x1": at + sets, "label": fits[0]})
            at += sets
    return pl.DataFrame(rows, infer_schema_length=None).with_columns(pl.col(pl.Float64).round(2))


def grid_picture(one: Proposed) -> Picture | None:
    """Sets of the muscles that change, week by week; None where none does."""
    changing = one.muscles.filter(
        pl.struct("sets_now", "sets_next").map_elements(is_change, return_dtype=pl.Boolean)
    )
    if changing.is_empty():
        return None
    rows = changing.select("muscle_id", "name", "f").with_row_index("i")
    cells = (
        one.weeks.join(rows.select("muscle_id", "i"), on="muscle_id")
        .select(
            pl.col("i").cast(pl.Int64),
            pl.col("f").cast(pl.Int64),
            k=pl.col("week") - 1,
            sets=pl.col("sets").round(2),
            ease=pl.col("is_easing"),
            label=pl.col("sets").round(1).map_elements(figure, return_dtype=pl.String),
        )
        .sort("i", "k")
    )
    heads = one.weeks.select("week", "is_easing").unique().sort("week")
    frames = GridFrames(
        cells=cells,
        rows=rows.select(pl.col("i").cast(pl.Int64), "name"),
        heads=pl.DataFrame(
            {
                "k": heads["week"] - 1,
                "label": [
                    words.plain("next_phase.ease_week") if is_easing else count(week)
                    for week, is_easing in heads.iter_rows()
                ],
                "ease": heads["is_easing"],
            }
        ),
        most=max(float(cells["sets"].max() or 1.0), 1.0),  # type: ignore[arg-type]
    )
    wide, narrow = (draw_grid(frames, *size) for size in GRID_SIZES)
    return Picture(
        name=f"weeks-{one.version}",
        title=words.plain("next_phase.grid_title"),
        caption=words.say("next_phase.grid_caption"),
        description=words.plain(
            "next_phase.grid_description", muscles=count(rows.height), weeks=count(heads.height)
        ),
        wide=wide,
        narrow=narrow,
        table=grid_table(one),
    )
