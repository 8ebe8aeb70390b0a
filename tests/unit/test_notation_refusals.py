"""The set notation: what is not understood, or could be in two ways, is refused."""

import pytest

from pipeline.core.errors import LiftstrataError
from pipeline.tidy.notation import Notation, NotationError, parse_sets

PLAIN = Notation()
COMMA = Notation(order="sets x reps @ load; load x reps", decimal=",")


@pytest.mark.parametrize(
    ("text", "position", "remedy"),
    [
        ("100x8 felt like 105", 6, "put remarks in ( )"),
        ("100x8 skipped", 6, "put remarks in ( )"),
        ("100x8 not done", 6, "put remarks in ( )"),
        ("20x10 left shoulder hurt", 11, "put remarks in ( )"),
        ("3x8 @ 12 stone", 9, "put remarks in ( )"),
        ("3x8 @ 12foo", 8, "put remarks in ( )"),
        ("felt good 3x8", 0, "put remarks in ( )"),
        ("100x8 > 105x8", 8, "a drop with more weight than before it"),
        ("2x30kg", 0, "'reps x load' or 'hands x load x reps'"),
        ("2 plates x 5", 9, "on each side or in all"),
        ("3x8-10, 9, 9, 8", 2, "a plan and results in one list"),
        ("3x8 à 10", 6, "a range or a load"),
        ("100x8+2f", 5, "failed or done after a pause"),
        ("100x8 rp 3/2", 10, "further pauses or further sets"),
        ("100x5, f", 5, "'f' may be a set of its own"),
        ("100x1 (miss)", 7, "a missed set or repetition"),
        ("2x8@100/110 did 8", 16, "write each apart"),
        ("100x8+3 did 8", 12, "a result after a plan that is none"),
        ("70x6x4", 0, "'load x reps x sets' or 'load x sets x reps'"),
        ("12x10", 0, "'sets x reps' or 'load x reps'"),
        ("20x8@9", 0, "'sets x reps @ load' or 'load x reps @ rpe'"),
        ("24x40", 0, "'load x reps' or 'reps x load'"),
        ("100", 0, "fit no known order"),
        ("bw", 0, "fit no known order"),
        ("60 8", 3, "separate sets by ','"),
        ("20x10 per side", 0, "'load x reps' or 'reps x load'"),
        ("102,5x8", 3, "decimal sign '.'"),
        ("82,5 x 5", 2, "decimal sign '.'"),
        ("bw+2,5x8", 4, "decimal sign '.'"),
        ("3x8@102,5", 7, "decimal sign '.'"),
        ("2x8@102,5", 7, "decimal sign '.'"),
        ("8 reps with 102,5", 15, "decimal sign '.'"),
        ("100x8 RPE 7,5", 11, "decimal sign '.'"),
        ("100x8 RIR 1,5", 11, "decimal sign '.'"),
        ("100x8 (RIR 1,5)", 12, "decimal sign '.'"),
        ("40 x 20,5 m", 7, "decimal sign '.'"),
        ("bw x 1,5 min", 6, "decimal sign '.'"),
        ("3x8 (12,5kg)", 7, "decimal sign '.'"),
        ("3x8 (100)", 4, "a number in brackets"),
        ("2x8@60 (12)", 7, "a number in brackets"),
        ("12(10)", 2, "a number in brackets"),
        ("(5,5,5)", 0, "a number in brackets"),
        ("60x8 (65x8)", 5, "sets in brackets"),
        ("3x8@100 (+5kg)", 0, "fit no known order"),
        ("3x8 (20kg vest)", 0, "a weight in the remark"),
        ("bw x 8 (20kg vest)", 0, "a weight in the remark"),
        ("3x8 (+2)", 4, "a number in brackets"),
        ("60kg 10r 3s", 0, "fit no known order"),
        ("100x8, 30s", 0, "fit no known order"),
        ("16kg x 10e", 9, "each?"),
        ("60x8, 50x8 (drop set)", 21, "a number is missing here"),
        ("3x8 +2", 4, "touches one number only"),
        ("100x8 +10kg", 0, "fit no known order"),
        ("60x8 8", 5, "repetitions or an RPE"),
        ("8xKG", 2, "a unit without its number"),
        ("20x10 w/ 20kg", 0, "20 sets?"),
        ("15x10@60", 0, "15 sets?"),
        ("8x60@3", 0, "60 repetitions, or a load and an RPE"),
        ("DB 30s 3x10", 3, "seconds, or a pair of weights"),
        ("2x8 1x6 @ 100", 4, "sets with a load and sets without"),
        ("100kg 5x5 2x8", 10, "sets with a load and sets without"),
        ("3x8-6", 4, "a range from 8 to 6"),
        ("100-5", 4, "a range from 100 to 5"),
        ("100 x 5 x 3", 0, "may be read as"),
        ("60x8 8 2 left", 5, "repetitions or an RPE"),
        ("100x8 DB 20x10", 9, "may belong to either set"),
        ("3x12r", 4, "repetitions or the right side"),
        ("3xF @ 20", 2, "failed or done to failure"),
        ("x10", 0, "a number is missing before this"),
        ("20+bar x 8", 2, "the bar stands first"),
        ("5x5 @ 80%", 8, "a share of a maximum is a plan"),
        ("5@40x3", 0, "fit no known order"),
        ("set 3 x 8", 6, "a number is missing before this"),
        ("5k 25:00", 1, "put remarks in ( )"),
        ("3x8,7@100", 3, "may be one entry or two"),
        ("- 20x8", 2, "may be a bullet or assistance"),
        ("3x10@50 > 25x9", 0, "fit no known order"),
        ("bw+20x8 + 10x6", 10, "'+' may join drops or mean added weight"),
        ("50x10 + 60x9", 8, "'+' may join drops or mean added weight"),
        ("100x8 -20x6", 6, "touches one number only"),
        ("100x10-8", 7, "the second must be larger"),
        ("100x8 RPE 11", 12, "an RPE lies between 1 and 10"),
        ("100x8 RPE", 9, "a number is missing after RPE"),
        ("100x8, 2 left", 5, "'left' may be the side or the reserve"),
        ("100x8 RPE 8 RIR 3", 17, "two values for one set"),
        ("60x5 w 80x3", 7, "may belong to either set"),
        ("100x8 (slow", 6, "the remark is not closed"),
        ('100x8 "slow', 6, "the remark is not closed"),
        ("100x", 4, "a number is missing here"),
        ("100x8.5", 0, "fit no known order"),
        ("100x8 > ", 8, "a number is missing here"),
        ("60:10", 0, "leave a space"),
        ("30x8+4, 100x3+2/4", 8, "several sets with drops or pauses"),
        ("100x8 #1", 6, "'#' is not part of the notation"),
        ("21x8@100", 0, "fit no known order"),
    ],
)
def test_refuses_what_it_does_not_understand(text, position, remedy):
    with pytest.raises(NotationError) as caught:
        parse_sets(text, PLAIN)
    assert remedy in caught.value.remedy
    assert caught.value.position == position
    assert caught.value.text == text
    assert isinstance(caught.value, LiftstrataError)


def test_the_wrong_decimal_sign_is_refused():
    with pytest.raises(NotationError, match="decimal sign ','"):
        parse_sets("102.5x8", COMMA)
    with pytest.raises(NotationError, match="decimal sign ','"):
        parse_sets("90x9,8,6", COMMA)


def test_a_long_text_is_refused_quickly():
    with pytest.raises(NotationError, match="at most 2000"):
        parse_sets("100x8, " * 1000, PLAIN)
