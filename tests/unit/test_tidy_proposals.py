"""A slip is proposed its likely meaning where one is near to the usual, and nothing elsewhere."""

from datetime import date

import pytest

from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import read_date
from pipeline.tidy.proposals import (
    find_number,
    propose_date,
    propose_load,
    propose_reps,
    propose_value,
)

TODAY = date(2025, 6, 30)


@pytest.mark.parametrize(
    ("cell", "written", "ratio", "meant"),
    [
        ("1025", "1025", 1025 / 101.0, "102.5"),
        ("1000", "1000", 1000 / 98.0, "100"),
        ("102,5", "102,5", 102.5 / 10.4, "10,25"),
        ("450", "450", 450 / 65.0, "45"),  # a back-off set is lighter than the usual top
        ("225", "225", 225 / 101.0, "225 lb"),
        ("100", "100", 100 * 0.4536 / 99.0, "100 kg"),
        ("10.5", "10.5", 10.5 / 104.0, "105"),
        ("100x8, 1050x8", "1050", 1050 / 104.0, "100x8, 105x8"),
        ("3x8@1000", "1000", 1000 / 98.0, "3x8@100"),
        ("1000x8, 1000x7", "1000", 1000 / 98.0, None),  # which of the two is not known
        ("3x8 @ 225", "225", 225 / 101.0, "3x8 @ 225lb"),
        ("225 kg", "225", 225 / 101.0, None),  # the unit stands there
        ("500", "500", 5.0, None),  # no slip that is known leads near to the usual
    ],
)
def test_loads(cell: str, written: str, ratio: float, meant: str | None) -> None:
    assert propose_load(cell, written, ratio) == meant


@pytest.mark.parametrize(
    ("cell", "load_kg", "number"),
    [
        ("3x8@650", 650.0, "650"),
        ("225 lb", 102.058, "225"),
        ("2x30x8", 60.0, "30"),
        ("bw+102,5 x 3", 102.5, "102,5"),
        ("one plate", 60.0, None),
    ],
)
def test_the_number_of_a_load_is_found_in_its_cell(
    cell: str, load_kg: float, number: str | None
) -> None:
    assert find_number(cell, load_kg) == number


@pytest.mark.parametrize(
    ("cell", "reps", "usual", "meant"),
    [
        ("80", 80, 8.0, "8"),
        ("88", 88, 8.0, "8"),
        ("110", 110, 11.0, "11"),
        ("3x80@100", 80, 8.0, "3x8@100"),
        ("80x80", 80, 8.0, None),
        ("60", 60, 20.0, None),
    ],
)
def test_repetitions(cell: str, reps: int, usual: float, meant: str | None) -> None:
    assert propose_reps(cell, reps, usual) == meant


def as_kg(text: str) -> float | None:
    return float(text.removesuffix(" kg").replace(",", "."))


@pytest.mark.parametrize(
    ("cell", "meant"), [("8", "80"), ("825", "82.5"), ("825 kg", "82.5 kg"), ("28", None)]
)
def test_measured_values(cell: str, meant: str | None) -> None:
    assert propose_value(cell, 82.1, as_kg) == meant


def read(text: str) -> date | None:
    try:
        return read_date(text, "dmy", None, TODAY)
    except CellError:
        return None


@pytest.mark.parametrize(
    ("cell", "near", "meant"),
    [
        ("05.01.2023", (date(2024, 1, 3), date(2024, 1, 8)), "05.01.2024"),
        ("30.12.2024", (date(2023, 12, 28), date(2024, 1, 2)), "30.12.2023"),
        ("5 Jan 2204", (date(2023, 1, 3),), "5 Jan 2023"),
        ("05.01.1924", (date(2024, 1, 3),), "05.01.2024"),
        ("5 Jan 2032", (date(2023, 1, 3),), "5 Jan 2023"),
        ("05.01.23", (date(2024, 1, 3),), "05.01.24"),
        ("09.04.42", (date(2024, 4, 6), date(2024, 4, 12)), "09.04.24"),
        ("04.13.2024", (date(2024, 4, 11),), "13.04.2024"),
        ("2024-13-04", (date(2024, 4, 11),), "2024-04-13"),
        ("04.13.2024", (date(2024, 9, 11),), None),  # swapped it is far from what stands beside
        ("5 January", (date(2024, 1, 3),), None),  # no year to put another for
        ("05.07.2026", (date(2025, 6, 29),), "05.07.2024"),  # 2025 has not come that far
        ("05.01.2023", (), None),
    ],
)
def test_dates(cell: str, near: tuple[date, ...], meant: str | None) -> None:
    assert propose_date(cell, near, read) == meant
