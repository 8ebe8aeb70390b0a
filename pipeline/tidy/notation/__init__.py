"""The set notation: sets as lifters write them, parsed whole or refused.

>>> from pipeline.tidy.notation import Notation, parse_sets, print_sets
>>> plain = Notation()

Sets, repetitions, load; one row a set:

>>> [(s.load, s.reps) for s in parse_sets("3x8@100, 1x6@105", plain)]
[(100.0, 8), (100.0, 8), (100.0, 8), (105.0, 6)]
>>> [(s.load, s.reps) for s in parse_sets("100x8,8,7", plain)]
[(100.0, 8), (100.0, 8), (100.0, 7)]

A drop cluster is one set of several segments (``>``, ``->``, ``drop``, or ``+`` where each load is
below the one before it); so is a set with pauses (``100x8+4+3``):

>>> drops = parse_sets("50x10 > 25x9 > 12.5x8", plain)
>>> [(s.load, s.reps, s.cluster, s.segment_no) for s in drops]
[(50.0, 10, 1, 1), (25.0, 9, 1, 2), (12.5, 8, 1, 3)]

Body weight, added and assisted; per hand and per side; units; time and distance:

>>> for text in ("bw x 11", "bw+10 x 8", "-20x8", "20 per hand x 10", "45lb x 5"):
...     one = parse_sets(text, plain)[0]
...     print(one.load, one.unit, one.basis, one.reps)
0.0 None added 11
10.0 None added 8
20.0 None assisted 8
20.0 None per_hand 10
45.0 lb None 5
>>> [(s.load, s.duration_s, s.distance_m) for s in parse_sets("3 x 1:30, 40 x 20 m", plain)][2:]
[(None, 90.0, None), (40.0, None, 20.0)]

Plates and bars, whose weight the reader of loads adds (20 kg or 45 lb a plate; the bar by the map):

>>> one = parse_sets("ez bar + 1 plate + 5 per side x 8", plain)[0]
>>> one.bar, one.plates, one.load, one.basis
('ez bar', 1.0, 5.0, 'per_side')

Effort, failure, side, warm-up, remarks. A mark belongs to what it follows: after a list to the
last set of it, after ``3x8@100`` to all three:

>>> for s in parse_sets("60x5 w, 100x8,8 RPE 8.5, 2x10L/9R@20 (slow), 90x9 to failure", plain):
...     print(s.load, s.reps, s.rir, s.to_failure, s.is_warmup, s.side, s.note)
60.0 5 None None True None None
100.0 8 None None False None None
100.0 8 1.5 None False None None
20.0 10 None None False left slow
20.0 9 None None False right slow
90.0 9 None True False None None

Remarks need no parentheses where they begin with a word unknown to the notation, hold no digit
and no word of doubt:

>>> parse_sets("100x8 felt good, 100x7", plain)[0].note
'felt good'

What stands in brackets is a mark, a load, repetitions behind a load, or a remark; double quotes
always hold a remark:

>>> found = parse_sets('1x8 (+10), 1x8 (20kg), 60 (8), 60x9 "50kg"', plain)
>>> [(s.load, s.basis, s.reps, s.note) for s in found]
[(10.0, 'added', 8, None), (20.0, None, 8, None), (60.0, None, 8, None), (60.0, None, 9, '50kg')]

A range is a plan, not a result; beside it may stand what was done:

>>> [(s.reps, s.reps_target) for s in parse_sets("3x8-10: 9, 9", plain)]
[(9, '8-10'), (9, '8-10')]
>>> plan = parse_sets("3 x 8-10", plain)
>>> len(plan), plan[0].reps, plan[0].reps_target
(3, None, '8-10')

Which number is what depends on the file, so it is stated in its map; several orders may be:

>>> [s.reps for s in parse_sets("70x6x4", Notation(order="load x reps x sets"))]
[6, 6, 6, 6]
>>> parse_sets("60 8", Notation(order="load reps"))[0].load
60.0
>>> parse_sets("102,5x8; 100x8/8", Notation(order="load x reps", decimal=","))[0].load
102.5

Nothing is guessed: what is not understood, or can be understood in two ways, is refused.

>>> def why_not(text):
...     try:
...         return parse_sets(text, plain)
...     except NotationError as error:
...         return error
>>> print(why_not("70x6x4"))  # doctest: +NORMALIZE_WHITESPACE
'70x6x4' at character 1: may be read as 'load x reps x sets' or 'load x sets x reps':
add the right one to [notation] order of the map, after a ';'
>>> print(why_not("12x10"))  # doctest: +NORMALIZE_WHITESPACE
'12x10' at character 1: may be read as 'sets x reps' or 'load x reps':
add the right one to [notation] order of the map, after a ';'
>>> print(why_not("100x8 felt like 105"))
'100x8 felt like 105' at character 7: 'felt' is not a word of the notation; put remarks in ( )
>>> print(why_not("- 20x8"))
'- 20x8' at character 3: '- 20' may be a bullet or assistance: write '-20' or drop the '-'

Printing gives a text that is read back unchanged:

>>> print_sets(parse_sets("3x8@100, 50x10 drop 25x9 to failure", plain), plain)
'3x8@100, 50x10 > 25x9 to failure'
"""

from pipeline.tidy.notation.meaning import parse_sets
from pipeline.tidy.notation.printing import print_sets
from pipeline.tidy.notation.records import Form, Notation, NotationError, ParsedSet, read_forms

__all__ = [
    "Form",
    "Notation",
    "NotationError",
    "ParsedSet",
    "parse_sets",
    "print_sets",
    "read_forms",
]
