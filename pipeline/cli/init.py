"""``liftstrata init``: a commented folder for a lifter's own record."""

from datetime import date
from pathlib import Path

from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.settings import MOST_ID, is_lifter_id

SETTINGS = """\
# Settings of this folder. Unknown keys are errors that name the nearest known one.
schema = 1

[lifter.{lifter}]
name = "{lifter}"               # shown on the pages; a pseudonym will do
training_began = {began}   # start of structured training: training age counts from here
unit = "{unit}"                 # kg or lb, as shown; files may use either
consent = false                 # true: the page of a group shows the name, else a pseudonym
# week_starts = "monday"        # weekday that weeks start on: it moves every weekly number

# How pages are written. Left out: English, the lifter's unit, 3 Mar 2025, the language's own signs.
# [pages]
# language = "de"               # en or de
# units = "kg"                  # kg or lb, of loads
# body_weight = "kg"            # kg or lb
# date_format = "day_month"     # day_month, month_day or iso (2025-03-03)
# decimal = ","                 # . or , and the other one between thousands

# Any shipped threshold can be changed; a changed one is printed with each result it shaped.
# [thresholds]
# plateau_pct_per_year = 2.0
"""

JOURNAL = """\
# What the log does not say: phases, easing weeks, time off, complaints, gym and device changes.
# Declared events are used before any rule. Dates without quotes; end is the last day.
#
# [[event]]
# kind = "priority"             # priority, hold, surplus, deficit, deload, layoff, injury,
# start = 2024-03-04            # gym_change, device_change, swap
# end = 2024-05-12
# subject = ["calves"]          # ids of muscles, lifts or regions: side_delts, back_squat;
#                               # empty: the whole lifter
# why = "bring the calves up"
"""

CORRECTIONS = """\
# Fixes of single cells, each with the text it expects to find. When the source changes, the fix
# stops being applied and the refresh says so.
#
# [[correction]]
# file = "log.csv"
# row = 411
# column = "Weight"
# expect = "1000"
# value = "100"                 # without it, nothing is done; the text of expect confirms it
# why = "one zero too many"
"""


def make_home(folder: Path, lifter: str, began: str, unit: str) -> None:
    """Create the folder with settings, inbox, maps, journal and corrections.

    Raises
    ------
    SettingsError
        when the folder is not empty, or an option is not usable.
    """
    home = Home(folder.resolve())
    _check_options(folder, lifter, began, unit)
    if home.root.exists() and any(home.root.iterdir()):
        raise SettingsError(f"{folder}: not empty: choose a new folder")
    for path in (home.inbox / lifter, home.maps, home.journal):
        path.mkdir(parents=True, exist_ok=True)
    values = {"lifter": lifter, "began": began, "unit": unit}
    home.settings.write_text(SETTINGS.format(**values), "utf-8")
    (home.journal / f"{lifter}.toml").write_text(JOURNAL, "utf-8")
    home.corrections.write_text(CORRECTIONS, "utf-8")
    print(f"made {folder}")
    print(f"1. copy your files into {folder}/inbox/{lifter}/")
    print(f"2. liftstrata inspect {folder}/inbox/{lifter}/FILE --save {folder}/maps/NAME.toml")
    print(f"3. liftstrata refresh {folder}")


def _check_options(folder: Path, lifter: str, began: str, unit: str) -> None:
    if not is_lifter_id(lifter):
        raise SettingsError(
            f"--lifter {lifter!r}: letters, digits, - and _ only (a to z, {MOST_ID} at most)"
        )
    if unit not in ("kg", "lb"):
        raise SettingsError(f"--unit {unit!r}: write kg or lb")
    try:
        date.fromisoformat(began)
    except ValueError:
        raise SettingsError(
            f"--began {began!r}: training age needs the start of training: --began 2014-03-01"
        ) from None
