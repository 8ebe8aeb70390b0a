"""settings.toml: what is accepted, and errors that name the nearest known key."""

from datetime import date

import pytest

from pipeline.core.calendar import WEEKDAYS
from pipeline.core.errors import SettingsError
from pipeline.core.next_phase import NextPhase
from pipeline.core.page_style import PageStyle
from pipeline.core.settings import default_settings, default_thresholds, read_settings

GOOD = """
schema = 1
[lifter.larch]
name = "Larch"
training_began = 2014-03-01
unit = "lb"
consent = true
"""


@pytest.fixture
def write(tmp_path):
    def writer(text: str):
        path = tmp_path / "settings.toml"
        path.write_text(text, "utf-8")
        return path

    return writer


def test_a_good_file(write):
    settings = read_settings(write(GOOD))
    (larch,) = settings.lifters
    assert (larch.lifter_id, larch.training_began, larch.unit) == ("larch", date(2014, 3, 1), "lb")
    assert larch.consent
    assert settings.changed == ()


def test_wishes_of_the_next_phase(write):
    wishes = '[lifter.larch.next_phase]\npriorities = ["chest"]\nminutes = 75\n'
    settings = read_settings(write(GOOD + wishes))
    assert settings.lifters[0].next_phase == NextPhase(priorities=("chest",), minutes=75)
    assert settings.checksum != read_settings(write(GOOD)).checksum


def test_a_changed_threshold_is_in_force_and_named(write):
    settings = read_settings(write(GOOD + "[thresholds]\nplateau_pct_per_year = 3\n"))
    assert settings["plateau_pct_per_year"] == 3
    assert settings.changed == ("plateau_pct_per_year",)
    assert settings.checksum != read_settings(write(GOOD)).checksum


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("schema = 2\n[lifter.a]\ntraining_began = 2014-03-01", "schema = 2"),
        ("schema = 1", "no lifter"),
        (GOOD.replace("training_began", "traning_began"), "did you mean training_began"),
        (GOOD.replace("2014-03-01", '"2014"'), "write a date without quotes"),
        (GOOD.replace('"lb"', '"stone"'), "write kg or lb"),
        (GOOD.replace("consent = true", 'consent = "yes"'), "write true or false"),
        (GOOD + "[thresholds]\nplateau_pct = 3", "did you mean plateau_pct_per_year"),
        (GOOD + "[thresholds]\nplateau_pct_per_year = 90", "between 0.1 and 20"),
        (GOOD + '[thresholds]\nplateau_pct_per_year = "2"', "write a number"),
        ("schema = ", "not valid TOML"),
        (GOOD + "[lifter.larch.next_phase]\nprioritys = []", "did you mean priorities"),
        (GOOD + "[lifter.larch.next_phase]\nsessions = 9", "a whole number from 1 to 7"),
        (GOOD + '[lifter.larch.next_phase]\nhold = "lats"', "a list of ids in quotes"),
        (GOOD + "[lifter.larch.next_phase]\nweekly_increase = nan", "write a number"),
        (GOOD + "next_phase = 3", "lifter.larch.next_phase = 3: write it as a table"),
    ],
)
def test_errors_name_value_limit_and_remedy(write, text, says):
    with pytest.raises(SettingsError, match=r"settings\.toml") as error:
        read_settings(write(text))
    assert says in str(error.value)


def test_a_missing_file_says_how_to_make_one(tmp_path):
    with pytest.raises(SettingsError, match="liftstrata init"):
        read_settings(tmp_path / "settings.toml")


def test_every_threshold_has_unit_reason_and_source():
    for entry in default_thresholds().values():
        assert entry.unit
        assert entry.reason
        assert entry.source
        assert entry.low <= entry.value <= entry.high


def test_every_threshold_is_used_somewhere():
    from pathlib import Path

    root = Path(__file__).parents[2]
    code = "".join(
        path.read_text("utf-8")
        for top in ("pipeline", "sql", "dashboards")
        for ending in ("*.py", "*.sql")
        for path in (root / top).rglob(ending)
    )
    assert [name for name in default_settings().thresholds if name not in code] == []


def test_the_style_of_pages(write):
    pages = '[pages]\nlanguage = "de"\nunits = "lb"\ndate_format = "iso"\n'
    settings = read_settings(write(GOOD + pages))
    assert settings.pages == PageStyle("de", units="lb", date_format="iso")
    plain = read_settings(write(GOOD))
    assert plain.pages == PageStyle()
    assert plain.checksum == settings.checksum  # no result changes with it


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('language = "german"', 'pages.language = \'german\': write "en" or "de"'),
        ('units = "kgs"', 'did you mean "kg"?'),
        ('body_weight = ""', 'pages.body_weight = \'\': write "kg" or "lb"'),
        ('date_format = "month-day"', 'did you mean "month_day"?'),
        ("decimal = 1", "pages.decimal = 1"),
        ('langage = "de"', "did you mean language?"),
    ],
)
def test_a_style_that_is_not_known_names_the_nearest(write, line, says):
    with pytest.raises(SettingsError) as error:
        read_settings(write(f"{GOOD}[pages]\n{line}\n"))
    assert says in str(error.value)


def test_weeks_start_on_monday_unless_a_weekday_is_chosen(write):
    plain = read_settings(write(GOOD))
    assert plain.lifters[0].week_starts == "monday"
    told = {day: read_settings(write(f'{GOOD}week_starts = "{day}"\n')) for day in WEEKDAYS}
    assert {day: one.lifters[0].week_starts for day, one in told.items()} == dict(
        zip(WEEKDAYS, WEEKDAYS, strict=True)
    )
    # It moves every weekly number: other weeks, another checksum, Monday that of nothing told.
    assert len({one.checksum for one in told.values()}) == 7
    assert told["monday"].checksum == plain.checksum


def test_weeks_of_all_lifters_and_of_one(write):
    second = "[lifter.ash]\ntraining_began = 2014-03-01\n"
    own = second + 'week_starts = "friday"\n'
    for_all = GOOD.replace("schema = 1\n", 'schema = 1\nweek_starts = "sunday"\n')
    assert for_all != GOOD
    starts = [one.week_starts for one in read_settings(write(for_all + own)).lifters]
    assert starts == ["sunday", "friday"]
    starts = [one.week_starts for one in read_settings(write(GOOD + own)).lifters]
    assert starts == ["monday", "friday"]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('week_starts = "Sunday"', "lifter.larch.week_starts = 'Sunday'"),
        ('week_starts = "Sunday"', 'did you mean "sunday"?'),
        ('week_starts = "sun"', 'did you mean "sunday"?'),
        ("week_starts = 7", "write a weekday in English"),
        ('[pages]\nweek_starts = "sunday"', "pages.week_starts = 'sunday': it moves every weekly"),
        ('[pages]\nweek_starts = "sunday"', "under [lifter.NAME]"),
        ('[thresholds]\nweek_starts = "sunday"', "above every table"),
        ('[lifter]\nweek_starts = "sunday"', "above every table"),
        ('[lifter.larch.next_phase]\nweek_starts = "sunday"', "above every table"),
    ],
)
def test_weeks_told_wrongly_or_elsewhere_say_where_they_belong(write, line, says):
    with pytest.raises(SettingsError) as error:
        read_settings(write(f"{GOOD}{line}\n"))
    assert says in str(error.value)
