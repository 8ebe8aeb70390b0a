"""Predictions from invented levels: what is kept, how often, what came of it, what is told."""

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import conform
from pipeline.findings.predictions import (
    answer_scores,
    choose_due,
    frame_of_lines,
    line_of,
    look_ahead,
    score_predictions,
)
from pipeline.models.forecast.refit import refit_spread
from pipeline.models.forecast.scores import LEAST_KEPT, Kept, score_kept
from tests.unit.test_findings_forecast import FIRST, lift_rows, muscle_rows, tables_of, weeks_from

N = 260  # weeks of record
END = FIRST + timedelta(weeks=N, days=-3)  # a Friday


def source_rows(lifter: str = "larch", last: date = END, sha256: str = "a") -> pl.DataFrame:
    row = {"file_id": "f", "lifter_id": lifter, "path": "x.csv", "sha256": sha256}
    counts = dict.fromkeys(("read", "kept", "repeated", "set_aside", "blank"), 1)
    return conform("source_file", pl.DataFrame([row | counts | {"last_date": last}]))


def calendar(n: int = N, lifter: str = "larch") -> pl.DataFrame:
    return pl.DataFrame({"week_start": weeks_from(FIRST, n)}).with_columns(
        lifter_id=pl.lit(lifter), week_status=pl.lit("trained")
    )


def told(per_year: float = 0.0, **more: pl.DataFrame) -> dict:
    tables = tables_of([trained(muscle_rows("larch", N, per_year))], [lift_rows("larch", N)])
    return tables | {"source_file": source_rows()} | more


def trained(index: pl.DataFrame) -> pl.DataFrame:
    return index.with_columns(is_trained=pl.lit(True))


def keep(made: pl.DataFrame) -> pl.DataFrame:
    return frame_of_lines(line_of(row) for row in made.iter_rows(named=True))


def test_a_prediction_counts_from_the_record_and_goes_with_its_finding():
    ahead = look_ahead(told())
    made, ids = ahead.predictions, {one.subject: one.finding_id for one in ahead.findings}
    assert set(made["subject"]) == {"lift:bench_press", "muscle:chest"}
    assert sorted(made["weeks_ahead"].unique()) == [26, 52]
    for row in made.iter_rows(named=True):
        assert row["predicted_on"] == END
        assert row["to_date"] == END - timedelta(days=4) + timedelta(weeks=row["weeks_ahead"])
        assert row["finding_id"] == ids[row["subject"]]
        assert row["low80"] < row["estimate"] < row["high80"]
    year = made.filter(pl.col("weeks_ahead") == 52)
    for found in ahead.findings:  # the same middle as the page tells for the same day
        (row,) = year.filter(pl.col("subject") == found.subject).iter_rows(named=True)
        assert row["estimate"] == pytest.approx(found.estimate, abs=0.001)
    lift = year.filter(pl.col("unit") == "kg").row(0, named=True)
    spread = np.log(lift["high80"] / lift["low80"]) / 2 / 1.2816
    assert spread == pytest.approx(refit_spread(0.01, 364 / 365.25), rel=0.01)


def test_a_lift_left_for_ten_weeks_is_not_told_ahead():
    lifts = tables_of([], [lift_rows("larch", N, untrained=10)]) | {"source_file": source_rows()}
    assert look_ahead(lifts).predictions.is_empty()
    assert len(look_ahead(lifts).findings) == 1


def test_a_record_that_does_not_go_on_keeps_nothing_more():
    made = look_ahead(told()).predictions
    first = choose_due(made, made.clear(), calendar())
    assert first.height == made.height == 4
    assert choose_due(made, keep(first), calendar()).is_empty()
    shorter = made.with_columns(predicted_on=END - timedelta(weeks=3))
    assert choose_due(shorter, keep(first), calendar(N - 3)).is_empty()


@pytest.mark.parametrize(("weeks", "horizons"), [(5, []), (6, [26]), (12, [26]), (13, [26, 52])])
def test_a_quarter_of_its_span_has_to_be_trained_before_the_next(weeks, horizons):
    made = look_ahead(told()).predictions
    later = made.with_columns(predicted_on=END + timedelta(weeks=weeks))
    due = choose_due(later, keep(made), calendar(N + weeks))
    assert sorted(due["weeks_ahead"].unique()) == horizons
    resting = calendar(N + weeks).with_columns(
        week_status=pl.when(pl.col("week_start") > END)
        .then(pl.lit("layoff"))
        .otherwise(pl.lit("trained"))
    )
    assert choose_due(later, keep(made), resting).is_empty()


def test_two_lifters_do_not_share_their_turns():
    made = look_ahead(told()).predictions
    both = pl.concat([made, made.with_columns(lifter_id=pl.lit("rowan"))])
    due = choose_due(both, keep(made), pl.concat([calendar(), calendar(lifter="rowan")]))
    assert due["lifter_id"].unique().to_list() == ["rowan"]


def test_a_line_keeps_every_column_of_its_row():
    made = look_ahead(told()).predictions
    kept = keep(pl.concat([made, made]))  # told twice counts once
    assert kept.drop("prediction_id").equals(made)
    assert kept["prediction_id"].is_unique().all()
    lines = [line_of(row) for row in made.iter_rows(named=True)]
    assert ["zero_on" in one for one in lines] == [one["unit"] == "%" for one in lines]


def later_tables(n: int, per_year: float, first: date = FIRST, untrained: int = 0) -> dict:
    """The record after ``n`` weeks: bench at 110 kg, chest risen."""
    shift = (FIRST - first).days // 7
    index = muscle_rows("larch", n + shift, per_year).with_columns(
        week_start=pl.Series(weeks_from(first, n + shift))
    )
    last = FIRST + timedelta(weeks=n, days=-1)
    return {
        "model_muscle_index": trained(index),
        "model_lift_level": lift_rows("larch", n, untrained, kg=110.0),
        "source_file": source_rows(last=last),
    }


def state_of(scored: pl.DataFrame, subject: str, weeks: int) -> tuple:
    chosen = scored.filter((pl.col("subject") == subject) & (pl.col("weeks_ahead") == weeks))
    return chosen.select("state", "came", "is_inside").row(0)


def test_what_came_is_read_from_the_present_fit():
    kept = keep(look_ahead(told()).predictions)
    assert set(score_predictions(kept, told())["state"]) == {"open"}
    scored = score_predictions(kept, later_tables(N + 30, 0.02))
    assert state_of(scored, "lift:bench_press", 26)[0] == "came"
    assert state_of(scored, "lift:bench_press", 26)[1:] == (pytest.approx(110.0), False)
    assert state_of(scored, "lift:bench_press", 52) == ("open", None, None)
    # the index was 0 throughout when it was predicted and now rises from its first week
    rise = 100 * np.expm1(0.02 * (N - 1 + 26) / 52)
    assert state_of(scored, "muscle:chest", 26)[1] == pytest.approx(rise, abs=0.01)


def test_older_files_move_the_zero_of_the_index_and_not_what_came():
    kept = keep(look_ahead(told()).predictions)
    plain = score_predictions(kept, later_tables(N + 30, 0.02))
    older = later_tables(N + 30, 0.02, first=FIRST - timedelta(weeks=100))
    assert state_of(score_predictions(kept, older), "muscle:chest", 26)[1] == pytest.approx(
        state_of(plain, "muscle:chest", 26)[1]
    )


@pytest.mark.parametrize("shift", range(-6, 7))
@pytest.mark.parametrize("per_year", [0.02, -0.3])
def test_weeks_that_start_on_another_day_score_what_was_kept_by_its_days(shift, per_year):
    """The same levels on a grid moved by days, while the lines hold days of the old grid: what came
    is another by a week's change at most, and of a level that stands it is the same."""
    kept = keep(look_ahead(told()).predictions)
    tables = later_tables(N + 30, per_year)
    moved = tables | {
        name: tables[name].with_columns(pl.col("week_start").dt.offset_by(f"{shift}d"))
        for name in ("model_muscle_index", "model_lift_level")
    }
    plain, scored = score_predictions(kept, tables), score_predictions(kept, moved)
    assert scored["prediction_id"].equals(plain["prediction_id"])
    assert scored["state"].equals(plain["state"])
    assert state_of(scored, "lift:bench_press", 26) == state_of(plain, "lift:bench_press", 26)
    came, then = (state_of(one, "muscle:chest", 26)[1] for one in (scored, plain))
    assert came == pytest.approx(then, abs=(100 + max(then, 0)) * abs(per_year) / 52 * 1.01)


def test_a_line_is_not_scored_before_its_day_nor_on_weeks_that_are_gone():
    kept = keep(look_ahead(told()).predictions)
    moved = later_tables(N + 30, 0.0) | {"source_file": source_rows(last=END + timedelta(weeks=25))}
    assert set(score_predictions(kept, moved)["state"]) == {"open"}
    whole = later_tables(N + 30, 0.02)
    index = whole["model_muscle_index"].filter(pl.col("week_start") > FIRST + timedelta(weeks=1))
    index = index.with_columns(pl.col("week_start").dt.offset_by("-1d"))
    cut = score_predictions(kept, whole | {"model_muscle_index": index})
    assert state_of(cut, "muscle:chest", 26) == ("not trained", None, None)


def test_a_lift_that_was_dropped_is_not_scored():
    kept = keep(look_ahead(told()).predictions)
    gone = score_predictions(kept, later_tables(N + 40, 0.0, untrained=30))
    assert state_of(gone, "lift:bench_press", 26) == ("not trained", None, None)
    waiting = score_predictions(kept, later_tables(N + 28, 0.0, untrained=4))
    assert state_of(waiting, "lift:bench_press", 26)[0] == "open"


def many(n_spans: int, each: int, share: float) -> pl.DataFrame:
    """So many predictions a half-year, a share of them inside, all of a lift."""
    rows = []
    for span in range(n_spans):
        for number in range(each):
            off = 1.0 if number < round(share * each) else 8.0
            rows.append(
                {
                    "lifter_id": "larch",
                    "question": "forecast",
                    "subject": f"lift:{number}",
                    "unit": "kg",
                    "state": "came",
                    "predicted_on": FIRST + timedelta(weeks=26 * span),
                    "to_date": date(2021 + span // 2, 3 + 6 * (span % 2), 1),
                    "estimate": 100.0,
                    "unchanged": 97.0,
                    "came": 100.0 + off,
                    "is_inside": off < 5.0,
                }
            )
    return pl.DataFrame(rows)


def test_the_score_says_how_many_held_and_against_what():
    share, error = answer_scores(many(8, 10, 0.7))
    assert (share.window, error.window) == ("share", "error")
    assert share.estimate == pytest.approx(70.0)
    assert share.low < 70.0 < share.high
    assert (share.n, share.support) == (80, "fair")
    missed = 100 * (0.7 * np.log(1.01) + 0.3 * np.log(1.08))
    unchanged = 100 * (0.7 * np.log(101 / 97) + 0.3 * np.log(108 / 97))
    assert error.estimate == pytest.approx(missed - unchanged)
    assert f"{missed:.2f} % on average" in error.sentence
    assert "Of 80 forecasts whose day has come, 70.0 %" in share.sentence


def test_too_few_are_refused_with_what_is_missing():
    few = answer_scores(many(3, 3, 1.0))
    assert [one.support for one in few] == ["not enough", "not enough"]
    assert few[0].support_why == "9 predictions whose day has come, 20 needed"
    one_year = answer_scores(many(2, 15, 1.0))
    assert one_year[0].support_why == "2 half-years with such predictions, 4 needed"
    open_only = many(8, 10, 0.7).with_columns(state=pl.lit("open"))
    assert answer_scores(open_only)[0].n == 0
    assert answer_scores(open_only.clear()) == []


def test_what_goes_wrong_together_counts_as_one():
    """Half-years that are wholly inside or outside: the interval is that of half-years."""
    span = np.repeat(np.arange(8), 20)
    inside = np.isin(span, (0, 1, 2, 3, 4, 5))
    scattered = np.tile(np.arange(20) < 15, 8)
    error = np.ones(span.size)
    subject = np.arange(span.size)
    together = score_kept(Kept(inside, error, error, span, subject))
    apart = score_kept(Kept(scattered, error, error, span, subject))
    assert together.share[0] == apart.share[0] == 0.75
    width = [found.share[2] - found.share[1] for found in (together, apart)]
    assert width[0] > 2 * width[1]
    by_lift = score_kept(Kept(scattered, error, error, span, np.tile(np.arange(20), 8)))
    assert by_lift.share[2] - by_lift.share[1] > 1.5 * width[1]
    assert together.n == 160 >= LEAST_KEPT


def test_a_share_of_one_has_a_width():
    span = np.repeat(np.arange(5), 10)
    error = np.zeros(span.size)
    found = score_kept(Kept(np.ones(span.size, dtype=bool), error, error, span, span))
    assert found.share[0] == 1.0
    assert 0.3 < found.share[1] < 0.9
    assert found.beyond == (0.0, 0.0, 0.0)
