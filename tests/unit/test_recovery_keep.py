"""The printed table of the recovery runs becomes the rows of the page Methods."""

from datetime import date

import pytest

from pipeline.core.dictionary import columns_of
from tests.recovery.bars import Bar
from tests.recovery.keep import COLUMNS, read_rows, renew_rows
from tests.recovery.run import print_table

BARS = [
    Bar("volume", "error over the prior's", 0.884, 0.012, 200, high=0.9),
    Bar("volume", "bias of the optimum, diet logged", -0.4, 0.1, 60, low=-0.5, high=0.5),
    Bar("signals", "sleep called, hidden stress only", 0.3, 0.05, 60, high=0.25),
    Bar("index", "muscles undeclared: level", 2.4, 0.1, 200, high=4.2, note="rms"),
    Bar("deload", "loss after 2 to 3 weeks off, bias", 0.1, float("nan"), 40),
    Bar("forecast", "not known", float("nan"), float("nan"), 0, high=1.0),
]


def test_every_known_figure_is_kept_as_it_was_printed(capsys):
    print("seeds 0 to 199\n")
    print_table(BARS)
    rows = read_rows(capsys.readouterr().out.splitlines(), date(2026, 11, 25))
    assert [row["figure"] for row in rows] == [
        "error over the prior's",
        "bias of the optimum, diet logged",
        "sleep called, hidden stress only",
        "muscles undeclared: level (rms)",
        "loss after 2 to 3 weeks off, bias",
    ]
    first, diet, stress, equipment, loss = rows
    assert (first["value"], first["standard_error"], first["n"]) == ("0.884", "0.012", "200")
    assert (first["bar"], first["is_met"], first["case"]) == ("at most 0.9", "true", "")
    assert (diet["value"], diet["case"]) == ("-0.400", "diet")
    assert (stress["case"], stress["is_met"]) == ("stress", "false")
    assert equipment["case"] == "equipment"
    assert (loss["model"], loss["standard_error"], loss["is_met"]) == ("layoff", "", "")
    assert {row["careers"] for row in rows} == {"seeds 0 to 199"}
    assert {row["run_on"] for row in rows} == {"2026-11-25"}


def test_a_name_that_breaks_its_row_is_refused():
    with pytest.raises(ValueError, match=r"take the . out of the figure's name"):
        read_rows(["| effort | |bias| | 0.110 | 0.064 | 20 | at most 0.3 | met |"], date.today())


def test_a_model_measured_alone_renews_its_own_figures_only():
    kept = [{"model": one, "figure": name} for one, name in (("b", "1"), ("a", "2"), ("b", "3"))]
    fresh = [{"model": one, "figure": name} for one, name in (("c", "4"), ("b", "5"), ("b", "6"))]
    renewed = renew_rows(kept, fresh)
    assert [(row["model"], row["figure"]) for row in renewed] == [
        ("b", "5"),
        ("b", "6"),
        ("a", "2"),
        ("c", "4"),
    ]


def test_the_columns_are_those_of_the_dictionary():
    assert tuple(one.name for one in columns_of("ref_recovery")) == COLUMNS
