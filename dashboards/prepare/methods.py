"""Parts of the page Methods: each model in words, in equations, and in what it reached."""

import polars as pl

from dashboards import words
from dashboards.blocks import Equations, Fold, Prose, Section, Table, Text
from dashboards.numbers import MINUS, amount, count, plural, say_date
from dashboards.prepare.heads import heads_of
from pipeline.core.page_book import PageBook

# Sections of the page, in order, and the models of ``ref_recovery`` that each one shows.
SECTIONS: dict[str, tuple[str, ...]] = {
    "level": ("levels", "lift", "curve"),
    "index": ("index",),
    "sets": ("volume", "trend", "group"),
    "deload": ("deload",),
    "layoff": ("layoff",),
    "signals": ("signals",),
    "forecast": ("forecast", "predictions"),
    "support": ("support",),
    "narrowing": ("narrowing",),
    "priority": ("priority",),
    "planning": ("planning",),
}
CASES = ("diet", "stress", "equipment")
NEVER = ("ratio", "injury", "fatigue", "year", "cause")
ASKED = ("figure", "value", "error", "n", "bar", "met")
TOLD = ("figure", "value", "error", "n")
NUMBERS = ("value", "error", "n")


def model_section(book: PageBook, name: str) -> Section:
    """One model: what it does; folded what it assumes and cannot see, its equations, figures."""
    does, *said = (
        words.say(f"methods.{part}", text=words.say(f"methods.{name}_{part}"))
        for part in ("does", "assumes", "blind")
    )
    lines = words.say(f"methods.{name}_equations").strip().splitlines()
    equations = Equations(
        words.plain("methods.rule" if name == "support" else "methods.equations"),
        tuple(type(does)(line) for line in lines),
        words.say(f"methods.{name}_where"),
    )
    own = pl.col("model").is_in(SECTIONS[name])
    figures = figure_blocks(recovery_of(book).filter(own))
    fold = Fold(words.plain("methods.in_full"), (Prose(tuple(said)), equations, *figures))
    return Section(name, words.plain(f"methods.{name}_title"), (Prose((does,)), fold))


def recovery_of(book: PageBook) -> pl.DataFrame:
    """All figures, in the order of the file."""
    return book.tables["ref_recovery"]


def other_figures(book: PageBook) -> pl.DataFrame:
    """Figures of models that have no section of their own."""
    known = [name for names in SECTIONS.values() for name in names]
    return recovery_of(book).filter(~pl.col("model").is_in(known))


def figure_blocks(figures: pl.DataFrame) -> tuple[Table | Fold, ...]:
    """A table of the figures that had a bar to reach; those told beside them are folded away."""
    is_asked = pl.col("is_met").is_not_null()
    asked, told = figures.filter(is_asked), figures.filter(~is_asked)
    if asked.is_empty():
        return (_table(told, TOLD, _note(told)),)
    shown = _table(asked, ASKED, _note(figures))
    title = words.plain("methods.told_title", figures=plural(told.height, "figure"))
    return (shown, Fold(title, (_table(told, TOLD, ""),))) if told.height else (shown,)


def _table(figures: pl.DataFrame, columns: tuple[str, ...], note: Text) -> Table:
    rows = (_cells(row)[: len(columns)] for row in figures.iter_rows(named=True))
    title = words.plain("methods.figures_title") if note or figures.is_empty() else ""
    heads = heads_of("methods", *columns, numbers=NUMBERS)
    return Table(heads, tuple(rows), title, note, words.plain("methods.figures_none"))


def _note(figures: pl.DataFrame) -> Text:
    """What the figures are, and from which careers; nothing where there are none."""
    runs = figures.select("careers", "run_on").unique(maintain_order=True).iter_rows()
    told = "; ".join(
        words.plain("methods.careers", careers=careers, date=say_date(day)) for careers, day in runs
    )
    return words.say("methods.figures_note", careers=told) if told else ""


def _cells(row: dict[str, object]) -> tuple[Text, ...]:
    error = row["standard_error"]
    return (
        str(row["figure"]),
        _number(row["value"]),  # type: ignore[arg-type]
        "" if error is None else _number(error),  # type: ignore[arg-type]
        count(row["n"]),  # type: ignore[arg-type]
        "" if row["bar"] is None else str(row["bar"]).replace("-", MINUS),
        words.plain("methods.met" if row["is_met"] else "methods.missed"),
    )


def _number(value: float) -> str:
    """Two decimals, three below a tenth, none for a count."""
    decimals = 0 if abs(value) >= 1000 else 3 if abs(value) < 0.1 else 2
    return amount(value, decimals)


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
    title = words.plain("methods.left_title")
    return Section("left", title, (prose, *figure_blocks(named)))


def never_section() -> Section:
    """What is never computed, each with its reason and source."""
    said = tuple(words.say(f"methods.never_{name}") for name in NEVER)
    return Section("never", words.plain("methods.never_title"), (Prose(said),))
