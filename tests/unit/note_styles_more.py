"""More notes as different people might keep them, all invented; see ``note_styles``."""

from tests.unit.note_styles import FIRST_STYLES, Style

STYLES = (
    *FIRST_STYLES,
    Style(
        "a file with a head, ticked boxes",
        """\
---
title: Leg day
date: 2022-05-03
tags: [gym]
---

- [x] Squat 5x5 @ 100
- [x] Leg curl 3x12 @ 40
- [ ] Calf raise 3x15 @ 60

Knee quiet.
""",
        (
            ("2022-05-03", "back_squat", ((100, 5),) * 5),
            ("2022-05-03", "leg_curl", ((40, 12),) * 3),
        ),
        path="legs.md",
        asides=(9,),
    ),
    Style(
        "weekday and day, the year in the title, over the turn of the year",
        """\
Log 2019

Fri 27 Dec
bw 82.5
Squat: 100x5, 100x5
Bike 20 min
Mon 30 Dec
Bench: 70x8, 70x8
Fri 3 Jan
Squat: 102.5x5
""",
        (
            ("2019-12-27", "back_squat", ((100, 5), (100, 5))),
            ("2019-12-30", "bench_press", ((70, 8), (70, 8))),
            ("2020-01-03", "back_squat", ((102.5, 5),)),
        ),
        order="load x reps",
        dates="dmy",
    ),
    Style(
        "weekdays below the Monday of the week",
        """\
Week of 6 March 2017
Mon: squat 3x5@100, bench 3x5@70
Wed: overhead press 3x5@40
Fri: deadlift 1x5@140

Week of 13 March 2017
Mon: squat 3x5@102.5
""",
        (
            ("2017-03-06", "back_squat", ((100, 5),) * 3),
            ("2017-03-06", "bench_press", ((70, 5),) * 3),
            ("2017-03-08", "overhead_press", ((40, 5),) * 3),
            ("2017-03-10", "deadlift", ((140, 5),)),
            ("2017-03-13", "back_squat", ((102.5, 5),) * 3),
        ),
    ),
    Style(
        "French",
        """\
mardi 5 mars 2019
Développé couché : 4 x 8 @ 70 kg
Soulevé de terre : 3 x 5 @ 120 kg
bonne séance

jeudi 7 mars 2019
Squat : 5 x 5 @ 90 kg
""",
        (
            ("2019-03-05", "bench_press", ((70, 8),) * 4),
            ("2019-03-05", "deadlift", ((120, 5),) * 3),
            ("2019-03-07", "back_squat", ((90, 5),) * 5),
        ),
    ),
    Style(
        "paired exercises with letters",
        """\
=== 2018/11/20 (Tue) ===
A1. Bench press 3x8@60
A2. Barbell row 3x8@50
B1) Lateral raise 3x15@8
=== 2018/11/22 (Thu) ===
A1. Squat 3x5@100
""",
        (
            ("2018-11-20", "bench_press", ((60, 8),) * 3),
            ("2018-11-20", "barbell_row", ((50, 8),) * 3),
            ("2018-11-20", "dumbbell_lateral_raise", ((8, 15),) * 3),
            ("2018-11-22", "back_squat", ((100, 5),) * 3),
        ),
    ),
    Style(
        "bare pairs, the year in the name of the file",
        """\
27.12.
barbell row 60 8, 60 8, 60 7
bench 70 5, 70 5
29.12.
squat 100 5, 100 5
3.1.
squat 102.5 5
""",
        (
            ("2017-12-27", "barbell_row", ((60, 8), (60, 8), (60, 7))),
            ("2017-12-27", "bench_press", ((70, 5), (70, 5))),
            ("2017-12-29", "back_squat", ((100, 5), (100, 5))),
            ("2018-01-03", "back_squat", ((102.5, 5),)),
        ),
        order="load reps",
        dates="dmy",
        path="2017.txt",
        year_from="file name",
    ),
    Style(
        "sets before the name, names that hold numbers",
        """\
Date: 2015-07-08
5x5 squat @ 100
3x10 45 degree back extension @ 10
Smith machine bench press 30° 60x8, 60x8
Date: 2015-07-10
3x10 push-ups
""",
        (
            ("2015-07-08", "back_squat", ((100, 5),) * 5),
            ("2015-07-08", "back_extension", ((10, 10),) * 3),
            ("2015-07-08", "smith_machine_bench_press", ((60, 8), (60, 8))),
            ("2015-07-10", "push_up", ((None, 10),) * 3),
        ),
    ),
    Style(
        "a workout's number and title before the date, set lines with labels, plans",
        """\
Workout 34 - Push A - 2015/07/08
Bench press:
  warm up: 20x10
  set 1: 60 x 8
  set 2: 60 x 8
  set 3: 60 x 7
Next time: bench press 62.5 x 8
Rest 3 min

Workout 35 - Pull A - 2015/07/10
Barbell row:
  set 1: 50 x 8
""",
        (
            ("2015-07-08", "bench_press", ((20, 10), (60, 8), (60, 8), (60, 7))),
            ("2015-07-10", "barbell_row", ((50, 8),)),
        ),
        order="load x reps",
    ),
    Style(
        "inside a code fence, a load on the line of the name",
        """\
# Gym

```
2020-02-03
Bench press 80kg: 8, 8, 7
Squat @ 100: 5, 5, 5
2020-02-05
Deadlift 140kg: 5
```
""",
        (
            ("2020-02-03", "bench_press", ((80, 8), (80, 8), (80, 7))),
            ("2020-02-03", "back_squat", ((100, 5),) * 3),
            ("2020-02-05", "deadlift", ((140, 5),)),
        ),
        order="load : reps",
        path="gym.md",
    ),
    Style(
        "two sessions on one day, a date of compact digits",
        """\
20160704 morning
Squat 5x5 @ 100
20160704 evening
Bench press 5x5 @ 70
""",
        (
            ("2016-07-04", "back_squat", ((100, 5),) * 5),
            ("2016-07-04", "bench_press", ((70, 5),) * 5),
        ),
    ),
)
