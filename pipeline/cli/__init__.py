"""The command line: ``liftstrata``. Each command imports what it needs only when it runs."""

import sys
from datetime import date
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from pipeline.core.errors import BusyError, LiftstrataError, NothingReadError, one_line

EXIT_ERROR = 1
EXIT_NOTHING_READ = 2
EXIT_BUSY = 3

app = typer.Typer(
    name="liftstrata",
    help="Evidence from your own years of training logs. Nothing leaves this machine.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
Folder = Annotated[Path, typer.Argument(help="The folder that 'init' made.", show_default=True)]
Json = Annotated[bool, typer.Option("--json", help="Print the result as one JSON object.")]


@app.command()
def demo(folder: Annotated[Path, typer.Argument(help="A new or earlier demo folder.")]) -> None:
    """Write two invented lifters' records, refresh them and say what to open.

    Example: liftstrata demo demo
    """
    from pipeline.cli.demo import run_demo

    raise typer.Exit(run_demo(folder))


@app.command()
def init(
    folder: Annotated[Path, typer.Argument(help="A folder that does not exist, or is empty.")],
    lifter: Annotated[str, typer.Option(help="Short id; names the inbox folder.")] = "me",
    began: Annotated[str, typer.Option(help="Start of structured training, 2014-03-01.")] = "",
    unit: Annotated[str, typer.Option(help="Unit shown on pages: kg or lb.")] = "kg",
) -> None:
    """Make a commented folder for your own record.

    Example: liftstrata init training --lifter alex --began 2014-03-01
    """
    from pipeline.cli.init import make_home

    make_home(folder, lifter, began, unit)


@app.command()
def inspect(
    file: Annotated[Path, typer.Argument(help="A file you keep, in any layout.")],
    save: Annotated[Path | None, typer.Option(help="Write the drafted map here.")] = None,
    answer: Annotated[
        list[str] | None, typer.Option(help="Answer to a question, as KEY=VALUE.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Look at an unknown file and draft the map that reads it.

    Example: liftstrata inspect training/inbox/alex/log.csv --save training/maps/log.toml
    """
    from pipeline.cli.inspect import inspect_file

    raise typer.Exit(inspect_file(file, save, answer or [], as_json=as_json))


@app.command()
def refresh(folder: Folder = Path(), as_json: Json = False) -> None:
    """Read everything in the inbox again and publish the pages.

    Example: liftstrata refresh training
    """
    from pipeline.cli.refresh import run_refresh

    raise typer.Exit(run_refresh(folder, as_json=as_json, flow_name="refresh"))


@app.command()
def nightly(folder: Folder = Path(), as_json: Json = False) -> None:
    """The refresh as a timer calls it: plain lines, last night's pages stand when it fails.

    Example: liftstrata nightly training
    """
    from pipeline.cli.refresh import run_refresh

    raise typer.Exit(run_refresh(folder, as_json=as_json, flow_name="nightly"))


@app.command()
def trace(
    what: Annotated[
        str,
        typer.Argument(
            help="A finding (its id, six signs of it, words of its sentence), or a set: "
            "[lifter] day [lift] [number of the set]."
        ),
    ],
    folder: Folder = Path(),
    is_all: Annotated[bool, typer.Option("--all", help="Every file, line and doubt.")] = False,
    as_json: Json = False,
) -> None:
    """Say where a finding or a set comes from, back to file and line.

    Examples: liftstrata trace 3f9ac2d1 training; liftstrata trace "2019-03-05 bench press 2"
    """
    from pipeline.cli.trace import trace_what

    trace_what(folder, what, is_all=is_all, as_json=as_json)


@app.command()
def accept(
    proposal: Annotated[
        str, typer.Argument(help="Its id, as a page shows it: plan-... or phase-...")
    ],
    folder: Folder = Path(),
    as_json: Json = False,
) -> None:
    """Make a proposal your own: events into the journal, a plan into plans/.

    Refused when inbox or journal changed since the last refresh: refresh first; and when the last
    week of a plan is over.

    Example: liftstrata accept plan-3f2a9c01b7de training
    """
    from pipeline.cli.accept import accept as accept_one

    accept_one(folder, proposal, date.today(), as_json=as_json)


@app.command()
def export(
    what: Annotated[str, typer.Argument(help="proposal, or plan-... for one of several.")],
    folder: Folder = Path(),
    out: Annotated[Path, typer.Option(help="The CSV file to write.")] = Path("week.csv"),
    as_json: Json = False,
) -> None:
    """Write a proposed phase as a table to train by, week by week.

    Example: liftstrata export proposal training --out week.csv
    """
    from pipeline.cli.export import export_proposal

    export_proposal(folder, what, out, as_json=as_json)


@app.command()
def schedule(
    folder: Folder = Path(),
    at: Annotated[str, typer.Option(help="Time of day, HH:MM.")] = "03:10",
    units: Annotated[Path | None, typer.Option(help="Where the unit files go.")] = None,
) -> None:
    """Write the unit files of a system timer for the nightly refresh.

    Example: liftstrata schedule training --at 03:10
    """
    from pipeline.cli.schedule import write_schedule

    write_schedule(folder, at, units)


def main() -> None:
    """Run the command line; an error of ours is one line on stderr."""
    try:
        app(standalone_mode=True)
    except BusyError as error:
        _fail(str(error), EXIT_BUSY)
    except NothingReadError as error:
        _fail(str(error), EXIT_NOTHING_READ)
    except LiftstrataError as error:
        _fail(str(error), EXIT_ERROR)
    except OSError as error:  # a path that cannot be made, read or written
        where = error.filename or "input or output"
        _fail(f"{where}: {error.strerror}: choose another path, or make room there", EXIT_ERROR)


def _fail(message: str, code: int) -> None:
    Console(stderr=True, soft_wrap=True).print(
        f"liftstrata: {one_line(message)}", markup=False, highlight=False
    )
    sys.exit(code)
