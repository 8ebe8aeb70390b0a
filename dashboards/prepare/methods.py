"""Parts of the page Methods: each model in words, in equations, and in what it reached."""

import polars as pl

from dashboards import words
from dashboards.blocks import Equations, Prose, Section, Table, Text
from dashboards.numbers import count
from dashboards.prepare.heads import heads_of
from pipeline.core.calendar import say_date
from pipeline.core.page_book import PageBook

# Sections of the page, in order, and the models of ``ref_recovery`` that each one shows.
SECTIONS: dict[str, tuple[str, ...]] = {
    "level": ("levels", "lift", "curve"),
    "index": ("index",),
    "sets": ("volume", "trend"),
    "deload": ("deload",),
    "layoff": ("layoff",),
    "signals": ("signals",),
    "forecast": ("forecast",),
    "support": ("support",),
    "narrowing": ("narrowing",),
}
CASES = ("diet", "stress", "equipment")
NEVER = ("ratio", "injury", "fatigue", "year", "cause")
FIGURES = ("figure", "value", "error", "n", "bar", "met", "careers")
NUMBERS = ("value", "error", "n")


def model_section(book: PageBook, name: str) -> Section:
    """One model: what it does, assumes and cannot see, its equations, its figures."""
    said = tuple(
        words.say(f"methods.{part}", text=words.say(f"methods.{name}_{part}"))
        for part in ("does", "assumes", "blind")
    )
    lines = words.say(f"methods.{name}_equations").strip().splitlines()
    equations = Equations(
        words.plain("methods.rule" if name == "support" else "methods.equations"),
        tuple(type(said[0])(line) for line in lines),
        words.say(f"methods.{name}_where"),
    )
    own = pl.col("model").is_in(SECTIONS[name])
    figures = figure_table(recovery_of(book).filter(own))
    return Section(name, words.plain(f"methods.{name}_title"), (Prose(said), equations, figures))


def recovery_of(book: PageBook) -> pl.DataFrame:
    """All figures, in the order of the file."""
    return book.tables["ref_recovery"]


def other_figures(book: PageBook) -> pl.DataFrame:
    """Figures of models that have no section of their own."""
    known = [name for names in SECTIONS.values() for name in names]
    return recovery_of(book).filter(~pl.col("model").is_in(known))


def figure_table(figures: pl.DataFrame) -> Table:
    """Figures with standard error, n, bar and the careers they come from."""
    return Table(
        heads_of("methods", *FIGURES, numbers=NUMBERS),
        tuple(_cells(row) for row in figures.iter_rows(named=True)),
        words.plain("methods.figures_title"),
        words.say("methods.figures_note") if figures.height else "",
        words.plain("methods.figures_none"),
    )


def _cells(row: dict[str, object]) -> tuple[Text, ...]:
    met = {True: "met", False: "missed", None: "told"}[row["is_met"]]  # type: ignore[index]
    return (
        str(row["figure"]),
        _number(row["value"]),
        "" if row["standard_error"] is None else _number(row["standard_error"]),
        count(row["n"]),  # type: ignore[arg-type]
        "" if row["bar"] is None else str(row["bar"]),
        words.plain(f"methods.{met}"),
        words.plain("methods.careers", careers=row["careers"], date=say_date(row["run_on"])),  # type: ignore[arg-type]
    )


def _number(value: object) -> str:
    return f"{value:.2f}".replace("-", "\u2212")


def left_out_section(book: PageBook) -> Section:
    """What cannot be told from a record, each with what its simulated case does."""
    said = tuple(words.say(f"methods.left_{case}") for case in CASES)
    figures = recovery_of(book).filter(pl.col("case").is_not_null())
    named = figures.with_columns(
        figure=pl.concat_str(
            pl.col("case").replace({case: words.plain(f"methods.case_{case}") for case in CASES}),
            pl.lit(": "),
            "figure",
        )
    )
    prose = Prose((words.say("methods.left_intro"), *said))
    return Section("left", words.plain("methods.left_title"), (prose, figure_table(named)))


def never_section() -> Section:
    """What is never computed, each with its reason and source."""
    said = tuple(words.say(f"methods.never_{name}") for name in NEVER)
    return Section("never", words.plain("methods.never_title"), (Prose(said),))
