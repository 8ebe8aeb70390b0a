"""The page Next phase in a browser, against the invented book."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from urllib.parse import unquote

import polars as pl
import pytest
from markupsafe import Markup
from playwright.sync_api import Page, expect

from dashboards import list_pages, render_page
from dashboards.prepare.next_phase.pictures import _proposal_row
from pipeline.core.next_phase import NextPhase
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from pipeline.findings.next_phase.reasons import HELD_FOR
from pipeline.tidy.plans import read_plan
from tests.pages.book import FIRST, MUSCLES, REFUSED
from tests.pages.conftest import HOSTILE, Reader, loose
from tests.pages.next_phase_book import CONFLICT, LIFTS, MOVES, PLAN_WEEK, SETS, WEEKS

PUBLISHED = "published average only"
ASPEN, ROWAN = "aspen/next_phase.html", "rowan/next_phase.html"


def texts_of(page: Page, name: str) -> list[str]:
    return page.locator(f"#{name} svg.marks text").all_text_contents()


def page_of(book: PageBook, file: str) -> str:
    return render_page(next(page for page in list_pages(book) if page.file == file), book)


def without_proposals(book: PageBook) -> PageBook:
    empty = {name: frame.clear() for name, frame in book.tables.items() if "_proposal" in name}
    return replace(book, tables=book.tables | empty)


def test_the_answer_says_what_it_expects_beside_last_year_and_the_published(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    said = loose(page.locator("h1").first.inner_text())
    assert "Eight weeks from 31 Aug 2026: chest, quads and traps up, biceps down" in said
    assert f"Weekly sets {SETS}, now" in said
    assert "+0.24 % strength a month (+0.05 to +0.43), against +0.20 as in the last year" in said
    assert "and +0.47 by the published average" in said
    second = page.locator(".second").first.inner_text()
    assert second.startswith("A proposal, in three sessions a week; you decide")
    assert "both lie inside" not in second
    own = len(MUSCLES) - len(REFUSED)
    together = "rest on this record and the published average together (support thin)"
    assert f"Of {len(MUSCLES)} muscles {own} {together}" in second
    # The same sentence as on Volume and progress (``test_page_volume_shared``).
    assert f"In 1 of {own} muscles the record adds nothing to the published average." in second


def test_figures_that_agree_are_told_once(book: PageBook) -> None:
    heads = book.tables["model_proposal"]
    same = heads.with_columns(
        expected_pct=pl.lit(0.151), usual_pct=pl.lit(0.147), published_pct=pl.lit(0.149)
    )
    level = replace(book, tables=book.tables | {"model_proposal": same})
    page = next(page for page in list_pages(level) if page.file == ASPEN)
    said = Markup(loose(render_page(page, level).split("<h1>")[1].split("</h1>")[0])).striptags()
    assert said.endswith("the same as with last year's sets or the published average.")
    assert said.count("0.15") == 1


def test_what_an_injury_keeps_from_more_sets_is_said_at_once(book: PageBook) -> None:
    reason = HELD_FOR.format(hurt="elbow")
    rows = book.tables["model_proposal_muscle"]
    is_kept = (pl.col("role") == "hold") & pl.col("muscle_id").is_in(["lats", "triceps"])
    told = rows.with_columns(because=pl.when(is_kept).then(pl.lit(reason)).otherwise("because"))
    hurt = replace(book, tables=book.tables | {"model_proposal_muscle": told})
    kept = " not raised: elbow in your journal. "
    assert f"Lats and triceps{kept}" in page_of(hurt, ASPEN)
    assert kept not in page_of(book, ASPEN)


@pytest.mark.parametrize(
    ("now", "then", "says"), [(11.46, 12.0, "="), (11.44, 12.0, "12.0"), (12.0, 12.0, "=")]
)
def test_a_step_of_half_a_set_or_less_is_no_change(now: float, then: float, says: str) -> None:
    row = {"role": "hold", "f": 0, "name": "quads", "range_low": 9.0, "range_high": 20.0}
    row |= {"expected_pct_month": 0.1, "low": 0.0, "high": 0.2, "because": "a wish"}
    row |= {"support": "thin", "is_published": False, "sets_now": now, "sets_next": then}
    made = _proposal_row(0, 0, row, 25.0)
    assert made["to"] == says
    assert ("about as now" in made["short"]) == (says == "=")


def test_every_muscle_stands_in_its_group_with_its_sets(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    texts = texts_of(page, "proposal-progress")
    assert [text for text in texts if text in ("Build", "Test", "Ease", "Hold")] == [
        "Build",
        "Ease",
        "Hold",
    ]
    for muscle, (_, now, then) in MOVES.items():
        assert {muscle, f"{now:.1f}", f"{then:.1f}"} <= set(texts)
    assert texts.count("=") == len(MUSCLES) - len(MOVES)
    assert "a priority of yours; published only" in texts
    assert texts.count("published average only") == len(REFUSED) - 1
    assert texts.count("not enough") == len(REFUSED)


def test_movements_kept_level_are_counted_apart_from_families(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    row = page.locator("tr", has_text="sets of rows, pulldowns and pull-ups").first
    # Pull-ups and pulldowns against bench and chest presses; curls count for neither.
    assert row.locator("td").nth(1).inner_text() == "7 to 10"


def test_arrows_up_and_down_differ_in_side_and_a_move_is_no_verdict(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    heads = page.locator("#proposal-progress svg .mark-symbol path")
    drawn = heads.evaluate_all("all => all.map(one => ['fill', 'd'].map(a => one.getAttribute(a)))")
    arrows = [shape for fill, shape in drawn if fill == "var(--ink)"]
    assert len(arrows) == sum(role != "hold" for role, _, _ in MOVES.values())
    assert len(set(arrows)) == 2
    assert not {"var(--progress)", "var(--loss)"} & {fill for fill, _ in drawn}
    coloured = page.locator("h1 .progress, h1 .loss").all_inner_texts()
    assert [loose(text) for text in coloured] == ["+0.24 % strength a month"]


def test_what_gives_way_stands_before_the_proposal(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    heads = page.locator("main h2:visible").all_inner_texts()
    assert heads.index("What gives way") < heads.index("The proposal")
    assert page.locator("p.prose", has_text=CONFLICT).first.is_visible()


def test_each_week_has_its_sheet_and_the_first_stands(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    select = page.locator("select[data-param=week_progress]")
    options = select.locator("option").all_inner_texts()
    assert options == [
        "week 1, from 31 Aug 2026",
        "weeks 2 to 7, from 7 Sep 2026",
        f"week {WEEKS}, easing off, from 19 Oct 2026",
    ]
    expect(page.locator(".sheet:visible")).to_have_count(1)
    select.select_option("2")
    sheet = page.locator(".sheet:visible")
    assert sheet.locator("h3").inner_text() == "Weeks 2 to 7, from 7 Sep 2026"
    rows = sheet.locator("tbody tr")
    expect(rows).to_have_count(len(LIFTS))
    full = [int(text) for text in rows.locator("td.sets").all_inner_texts()]
    assert full == [sets for _, _, sets, _, _ in LIFTS]
    press = rows.filter(has_text="Leg press").locator("td").all_inner_texts()
    assert press[1:7] == ["5", "6 to 10", "1.5", "to failure", "15", "in the programme now"]
    select.select_option(str(WEEKS))
    eased = page.locator(".sheet:visible td.sets").all_inner_texts()
    assert sum(map(int, eased)) < SETS


def test_the_saved_plan_is_read_back(reader: Reader, book: PageBook, tmp_path) -> None:  # type: ignore[no-untyped-def]
    link = reader.open(ASPEN).page.locator("a[download]:visible")
    name = link.get_attribute("download") or ""
    assert name == "2026-08-31.csv"
    path = tmp_path / "aspen" / name
    path.parent.mkdir()
    path.write_text(unquote((link.get_attribute("href") or "").split(",", 1)[1]), "utf-8")
    known = book.tables["ref_exercise"]["exercise_id"].to_list()
    plan = read_plan(path, "aspen", known, "monday")
    full = plan.filter(pl.col("week") == 2)
    assert full.select("day", "exercise_id", "sets").rows() == [
        (day, lift, sets) for day, lift, sets, _, _ in LIFTS
    ]
    assert plan.filter("is_easing")["week"].unique().to_list() == [WEEKS]


def test_a_sheet_prints_alone_on_one_page(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    page.evaluate("window.print = () => { window.asked = document.documentElement.dataset.only; }")
    page.locator("[data-print]:visible").click()
    assert page.evaluate("window.asked") == ""
    page.set_viewport_size({"width": 703, "height": 1032})
    page.emulate_media(media="print")
    assert page.locator(".sheet:visible").count() == 1
    assert page.locator(".pen:visible").count() > len(LIFTS)
    assert page.locator("header:visible, [data-chart]:visible, .fold:visible").count() == 0
    assert page.evaluate("document.documentElement.scrollHeight") <= 1032
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator("header:visible").count() == 1


def test_the_command_accepts_and_an_accepted_plan_says_so(reader: Reader, book: PageBook) -> None:
    page = reader.open(ASPEN).page
    code = page.locator("code:visible").inner_text()
    assert code == "liftstrata accept plan-aspenprogress FOLDER"
    plans = book.tables["model_plan_progress"]
    start = book.tables["model_proposal"]["start"][0]
    moved = plans.with_columns(week_start=pl.lit(start) + pl.duration(weeks=pl.col("week") - 1))
    accepted = replace(book, tables=book.tables | {"model_plan_progress": moved})
    text = page_of(accepted, ASPEN)
    assert "The plan from 31 Aug 2026 was accepted." in text
    assert "liftstrata accept plan-" not in text


def test_to_learn_is_a_choice_with_its_price(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    price = loose(page.locator("p.prose:visible", has_text="Price").inner_text())
    assert "take 16 % off the interval" in price
    page.locator("select[data-param=version]").select_option("learning")
    said = page.locator("h1:visible").inner_text()
    assert "weeks from 31 Aug 2026, most to learn:" in said
    assert "calves tried at other sets" in said
    assert page.locator("h1:visible b.progress").count() == 0
    assert "Test" in texts_of(page, "proposal-learning")


def test_bars_add_up_and_the_limit_is_named(reader: Reader, book: PageBook) -> None:
    texts = texts_of(reader.open(ASPEN).page, "limit-progress")
    assert str(SETS) in texts
    assert "your usual week, 20 sets" in texts
    parts = [int(text.rsplit(" ", 1)[1]) for text in texts if text[:4] in ("push", "pull", "legs")]
    assert sum(parts[3:]) == SETS
    wished = replace(book.lifters[0], next_phase=NextPhase(weekly_sets=20, keep=("leg_press",)))
    text = page_of(replace(book, lifters=(wished, *book.lifters[1:])), ASPEN)
    assert "your limit, 20 sets" in text
    assert "your usual week" not in text
    assert "lifts that stay" in text


def test_complaints_name_what_they_take_out(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    row = page.locator("h2:visible", has_text="Left out during an injury").locator(
        "xpath=following-sibling::div[1]//tbody/tr"
    )
    cells = row.first.locator("td").all_inner_texts()
    assert cells[0] == "knee"
    assert HOSTILE in cells[2]
    assert cells[3] == "Barbell row, and 2 you have not done"
    assert "licensed clinician" in page.locator(".caution").inner_text()


def test_an_accepted_plan_is_held_against_the_record(reader: Reader) -> None:
    page = reader.open(ASPEN).page
    tables = page.locator("main > .table")
    plan = tables.filter(has_text="lifts left out").locator("tbody td").all_inner_texts()
    assert plan == ["1 Jun 2020", "4", "3", "30.0", "30.0", "93 %", "1", "1"]
    came = tables.filter(has_text="80 % interval").locator("tbody tr").all()
    rows = {
        row.locator("td").nth(1).inner_text(): row.locator("td").all_inner_texts() for row in came
    }
    assert rows["chest"][2:] == ["+0.4", "(−1.6 to +2.4)", "+2.9", "above"]
    assert rows["calves"][5].startswith("not trained near")
    assert (FIRST + timedelta(weeks=PLAN_WEEK)).isoformat() == "2020-06-01"


def test_a_young_record_is_told_that_all_is_published(reader: Reader) -> None:
    page = reader.open(ROWAN).page
    assert page.locator("h1").inner_text().startswith("Published averages only")
    assert page.locator("h1 .progress, h1 .loss").count() == 0
    assert texts_of(page, "proposal-progress").count("not enough") == 3
    assert page.locator("h2", has_text="What is missing").count() == 1
    assert "no muscle has best weekly sets" in page.locator("main").inner_text()


def test_without_a_proposal_the_counts_stand(book: PageBook, reader: Reader, site) -> None:  # type: ignore[no-untyped-def]
    (site / "none.html").write_text(page_of(without_proposals(book), ASPEN), "utf-8")
    page = reader.open("none.html").page
    assert page.locator("h1").inner_text().startswith("Nothing can be proposed")
    assert page.locator("h2", has_text="Weekly sets done").count() == 1
    assert page.locator("code, a[download]").count() == 0
    (site / "none.html").unlink()


def test_nothing_left_to_do_is_said_and_drawn(book: PageBook) -> None:
    table = book.tables["model_proposal_lift"]
    none = replace(book, tables=book.tables | {"model_proposal_lift": table.clear()})
    assert "No lift is left within the wishes and limits" in page_of(none, ASPEN)


def test_german_tells_reasons_and_groups(book: PageBook) -> None:
    german = replace(book, style=PageStyle(language="de"))
    text = page_of(german, ASPEN)
    assert "Ein Vorschlag, drei Einheiten in der Woche; " in text
    assert "past its supported range" not in text
    assert "named in the journal as out" not in text


def test_a_phone_tells_each_reason_whole_under_its_muscle(
    book: PageBook, reader: Reader, site
) -> None:  # type: ignore[no-untyped-def]
    long = " ".join(["sets expect more progress elsewhere"] * 3)
    table = book.tables["model_proposal_muscle"]
    because = pl.when(pl.col("muscle_id") == "quads").then(pl.lit(long)).otherwise("because")
    told = replace(
        book,
        tables=book.tables | {"model_proposal_muscle": table.with_columns(because=because)},
    )
    (site / "reasons.html").write_text(page_of(told, ASPEN), "utf-8")
    page = reader.open("reasons.html", size="phone").page
    drawing = page.locator("#proposal-progress svg.marks:visible")
    boxes = drawing.locator("text").evaluate_all("""all => all.map((one) => {
      const { left, right, top, bottom } = one.getBoundingClientRect();
      return { left, right, top, bottom, text: one.textContent };
    }).filter(one => one.text)""")
    (site / "reasons.html").unlink()
    texts = [one["text"] for one in boxes]
    reasons = [text for text in texts if text in ("past its supported range", PUBLISHED)]
    assert len(reasons) == 1 + len(REFUSED) - 1
    assert "a priority of yours; published only" in texts
    parts = [text for text in texts if text in long]
    assert len(parts) == 2
    assert " ".join(parts) == long
    inside = drawing.bounding_box()
    assert inside is not None
    words = [one for one in boxes if not one["text"].isdigit()]
    assert all(one["right"] <= inside["x"] + inside["width"] for one in words)
    for at, one in enumerate(boxes):
        for other in boxes[at + 1 :]:
            apart = one["right"] <= other["left"] or other["right"] <= one["left"]
            assert apart or one["bottom"] <= other["top"] or other["bottom"] <= one["top"], (
                one,
                other,
            )


def test_a_link_at_the_top_leads_to_the_week(reader: Reader) -> None:
    page = reader.open(ASPEN, "phone").page
    page.locator(".contents a:visible", has_text="The week to train by").click()
    expect(page.locator(".part:visible > h2").first).to_be_in_viewport()
    assert page.locator(".part:visible > h2").first.inner_text() == "The week to train by"


def test_no_head_of_a_day_lies_over_the_next_on_a_phone(reader: Reader) -> None:
    heads = reader.open(ASPEN, size="phone").page.locator(".day:visible").first.locator("th")
    ends = heads.evaluate_all("""all => all.map((one) => {
      const text = document.createRange();
      text.selectNodeContents(one);
      const { left, right } = text.getBoundingClientRect();
      return [left, right];
    }).filter(([left, right]) => right > left)""")
    assert len(ends) == 6
    assert all(right < left for (_, right), (left, _) in pairwise(ends))
