"""Notes as different people might keep them, all invented, with what has to be found in each.

Written before the reader of notes was: countries, years and habits came first.
"""

from dataclasses import dataclass

Found = tuple[str, str, tuple[tuple[float | None, int], ...]]


@dataclass(frozen=True)
class Style:
    """One person's habit.

    ``found``: day, exercise and (load as written, repetitions) of each set, in the order of the
    file. ``order``, ``dates``, ``unit``, ``decimal`` are what its map has to say; ``asides`` are
    lines that have to be set aside; ``answers`` are what the file leaves open when it is drafted.
    """

    name: str
    text: str
    found: tuple[Found, ...]
    order: str = "sets x reps @ load; load x reps"
    dates: str = "ymd"
    unit: str = "kg"
    decimal: str = "."
    path: str = "log.txt"
    asides: tuple[int, ...] = ()
    year_from: str | None = None


FIRST_STYLES = (
    Style(
        "garage lifter, pounds, no year in the dates",
        """\
3/4 push
bench 135x5 185x5 225x5x3
incline db 60x10, 10, 8
tri pushdown 50x12x3

3/6
squat 225x5 275x5 315x3
leg curl 90x10x3
3/18
bench 135x5 185x5 230x5x2
""",
        (
            ("2014-03-04", "bench_press", ((135, 5), (185, 5), (225, 5), (225, 5), (225, 5))),
            ("2014-03-04", "incline_dumbbell_press", ((60, 10), (60, 10), (60, 8))),
            ("2014-03-04", "triceps_pushdown", ((50, 12),) * 3),
            ("2014-03-06", "back_squat", ((225, 5), (275, 5), (315, 3))),
            ("2014-03-06", "leg_curl", ((90, 10),) * 3),
            ("2014-03-18", "bench_press", ((135, 5), (185, 5), (230, 5), (230, 5))),
        ),
        order="load x reps x sets; load x reps",
        dates="mdy",
        unit="lb",
        path="lifting 2014.txt",
        year_from="file name",
    ),
    Style(
        "Markdown journal with headings and bold names",
        """\
# Training log

Kept since the move.

## 4 March 2016 - Push
- **Bench press** 5x5 @ 80kg
- **Overhead press** 3x8 @ 45kg (felt slow)
- Dips: bw x 12, 11, 9

Slept badly.

## 6 March 2016 - Pull
- **Barbell row** 4x8 @ 70kg
- *Pull-ups*: bw+10 x 6, 6, 5
""",
        (
            ("2016-03-04", "bench_press", ((80, 5),) * 5),
            ("2016-03-04", "overhead_press", ((45, 8),) * 3),
            ("2016-03-04", "dip", ((0, 12), (0, 11), (0, 9))),
            ("2016-03-06", "barbell_row", ((70, 8),) * 4),
            ("2016-03-06", "pull_up", ((10, 6), (10, 6), (10, 5))),
        ),
    ),
    Style(
        "a name on its own line, sets beneath",
        """\
2013-05-02

Bench press
60 x 8
70 x 6
- 70x6
felt strong

Squat
100 x 5
100 x 5

2013-05-05
Deadlift
140 x 5
Sled thing
90 x 12
""",
        (
            ("2013-05-02", "bench_press", ((60, 8), (70, 6), (70, 6))),
            ("2013-05-02", "back_squat", ((100, 5), (100, 5))),
            ("2013-05-05", "deadlift", ((140, 5),)),
            ("2013-05-05", "unmatched:sled_thing", ((90, 12),)),
        ),
        order="load x reps",
    ),
    Style(
        "German, newest first, decimal comma, short years",
        """\
25.03.15 Beine
Kniebeuge: 100x5, 110x5, 122,5x3
Beinpresse 3x12 180kg

23.03.15 Brust
Bankdrücken 3x8 82,5kg
Schrägbankdrücken 3x10 60kg

30.12.14
Kreuzheben 5x3 150kg
""",
        (
            ("2015-03-25", "back_squat", ((100, 5), (110, 5), (122.5, 3))),
            ("2015-03-25", "leg_press", ((180, 12),) * 3),
            ("2015-03-23", "bench_press", ((82.5, 8),) * 3),
            ("2015-03-23", "incline_bench_press", ((60, 10),) * 3),
            ("2014-12-30", "deadlift", ((150, 3),) * 5),
        ),
        dates="dmy",
        decimal=",",
    ),
    Style(
        "an outline with stars, dates in brackets and small tables",
        """\
* [2013-05-02 Thu] Push
** Bench press
| set | weight | reps |
|-----+--------+------|
|   1 |     60 |    8 |
|   2 |     70 |    6 |
** Barbell row
- 60x8
- 60x7
* [2013-05-04 Sat]
** Squat
| set | weight | reps |
|-----+--------+------|
|   1 |    100 |    5 |
""",
        (
            ("2013-05-02", "bench_press", ((60, 8), (70, 6))),
            ("2013-05-02", "barbell_row", ((60, 8), (60, 7))),
            ("2013-05-04", "back_squat", ((100, 5),)),
        ),
        order="load x reps",
        path="log.org",
    ),
    Style(
        "numbered exercises in words",
        """\
Monday, March 2, 2020
1. Squat - 3 sets of 5 at 100
2. Bench press - 3 sets of 5 at 70
3) Deadlift - 1 set of 5 at 140 kg

Wednesday, March 4, 2020
1. Squat - 3 sets of 5 at 102.5
2. Overhead press - 3 sets of 5 at 40
""",
        (
            ("2020-03-02", "back_squat", ((100, 5),) * 3),
            ("2020-03-02", "bench_press", ((70, 5),) * 3),
            ("2020-03-02", "deadlift", ((140, 5),)),
            ("2020-03-04", "back_squat", ((102.5, 5),) * 3),
            ("2020-03-04", "overhead_press", ((40, 5),) * 3),
        ),
    ),
    Style(
        "a whole session on the line of its date",
        """\
2011-06-01 squat 100x5,5,5 bench 70x5,5,5
2011-06-03 overhead press 40x5,5,4; deadlift 140x5
2011-06-06 squat 102.5x5,5,5, bench press 72.5x5,5,4
""",
        (
            ("2011-06-01", "back_squat", ((100, 5),) * 3),
            ("2011-06-01", "bench_press", ((70, 5),) * 3),
            ("2011-06-03", "overhead_press", ((40, 5), (40, 5), (40, 4))),
            ("2011-06-03", "deadlift", ((140, 5),)),
            ("2011-06-06", "back_squat", ((102.5, 5),) * 3),
            ("2011-06-06", "bench_press", ((72.5, 5), (72.5, 5), (72.5, 4))),
        ),
        order="load x reps",
    ),
    Style(
        "year and month as headings, then the day's number",
        """\
2018
December
28
squat 3x5 100kg
bench 3x5 70kg
31
overhead press 3x5 45kg

2019
January
2
squat 3x5 102.5kg
""",
        (
            ("2018-12-28", "back_squat", ((100, 5),) * 3),
            ("2018-12-28", "bench_press", ((70, 5),) * 3),
            ("2018-12-31", "overhead_press", ((45, 5),) * 3),
            ("2019-01-02", "back_squat", ((102.5, 5),) * 3),
        ),
    ),
    Style(
        "a Markdown table under each date",
        """\
## 2021-09-14

| Exercise | Weight | Reps |
|:---------|-------:|-----:|
| Bench press | 80 | 8 |
| Bench press | 80 | 7 |
| Leg press | 160 | 12 |

Shoulder fine today.

## 2021-09-17

| Exercise | Weight | Reps |
|:---------|-------:|-----:|
| Squat | 100 | 5 |
| Squat | 105 | n/a |
""",
        (
            ("2021-09-14", "bench_press", ((80, 8), (80, 7))),
            ("2021-09-14", "leg_press", ((160, 12),)),
            ("2021-09-17", "back_squat", ((100, 5),)),
        ),
        path="log.md",
        asides=(16,),
    ),
    Style(
        "one long Markdown table with shorthand",
        """\
# Lifts

| Date | Lift | Sets |
| --- | --- | --- |
| 2022-01-03 | Squat | 3x5@100 |
| 2022-01-03 | Bench press | 3x8@70 |
| 2022-01-05 | Deadlift | 1x5@140 |
""",
        (
            ("2022-01-03", "back_squat", ((100, 5),) * 3),
            ("2022-01-03", "bench_press", ((70, 8),) * 3),
            ("2022-01-05", "deadlift", ((140, 5),)),
        ),
        path="log.md",
    ),
)
