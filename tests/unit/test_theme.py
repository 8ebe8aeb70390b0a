"""The palette: contrast by the WCAG formula, distances under simulated colour blindness."""

import itertools

import numpy as np
import pytest

from dashboards.theme.chart import shorten_path
from dashboards.theme.colours import (
    AGE_BANDS,
    DARK,
    FAMILIES,
    LIGHT,
    TEXT_ROLES,
    TIERS,
    role,
    style_variables,
)
from dashboards.theme.contrast import contrast_ratio, lab_distance, lab_of, rgb_of

THEMES = {"light": LIGHT, "dark": DARK}

# Full colour-vision deficiency on linear RGB: Machado, Oliveira and Fernandes 2009, doi
# 10.1109/TVCG.2009.113, severity 1.0. Read from the table in the registry package colorspacious
# 1.1.2 (cvd.py), which took it from the paper's supplement.
VISION = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.01182, 0.04294, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.3039),
    ),
}
SEEN = [None, *VISION]


def vision(kind: str | None) -> np.ndarray | None:
    return None if kind is None else np.array(VISION[kind])


def test_contrast_formula_on_known_pairs() -> None:
    # WCAG 2.2, definition of contrast ratio: black on white is 21, a colour on itself 1.
    assert contrast_ratio("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast_ratio("#808080", "#808080") == pytest.approx(1.0)
    # #767676 on white is the lightest grey that passes 4.5 (computed by the same formula by hand:
    # linear 0.1812, so 1.05 / 0.2312 = 4.54).
    assert contrast_ratio("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.01)


def test_lab_of_white_and_primary_red() -> None:
    # CIE 1976 with white D65: white is L 100, a 0, b 0; sRGB red is 53.24, 80.09, 67.20 (computed
    # from the sRGB primaries; second-hand in many tables).
    assert lab_of(rgb_of("#FFFFFF")) == pytest.approx([100, 0, 0], abs=0.02)
    assert lab_of(rgb_of("#FF0000")) == pytest.approx([53.24, 80.09, 67.20], abs=0.02)


def test_wrong_colours_and_roles_say_what_is_wrong() -> None:
    with pytest.raises(ValueError, match="#RRGGBB"):
        rgb_of("#fff")
    with pytest.raises(KeyError, match="no colour role 'ruby'"):
        role("ruby")


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("ground", ["paper", "wash"])
@pytest.mark.parametrize("text", TEXT_ROLES)
def test_text_passes_aa(name: str, ground: str, text: str) -> None:
    theme = THEMES[name]
    assert contrast_ratio(theme[text], theme[ground]) >= 4.5


@pytest.mark.parametrize("name", THEMES)
def test_text_on_bands_and_rock_passes_aa(name: str) -> None:
    theme = THEMES[name]
    assert contrast_ratio(theme["progress"], theme["progress-band"]) >= 4.5
    assert contrast_ratio(theme["loss"], theme["loss-band"]) >= 4.5
    for family in FAMILIES:
        assert contrast_ratio(theme["on-rock"], theme[f"{family}-within"]) >= 4.5


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("family", FAMILIES)
def test_the_edge_that_carries_a_strip_is_seen(name: str, family: str) -> None:
    # WCAG 2.2, 1.4.11: graphics need 3:1. Pale fills are below it, the edge in the deep tone not.
    theme = THEMES[name]
    assert contrast_ratio(theme[f"{family}-above"], theme["paper"]) >= 3.0


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("kind", SEEN)
def test_accents_hold_apart_for_all_readers(name: str, kind: str | None) -> None:
    theme, seen = THEMES[name], vision(kind)

    def apart(one: str, other: str) -> int:
        return round(lab_distance(theme[one], theme[other], seen))

    assert apart("progress", "loss") >= 63
    assert apart("progress", "ink2") >= 28
    assert apart("loss", "ink2") >= 28
    assert apart("progress", "prior") >= 20
    for younger, older in itertools.pairwise(AGE_BANDS):
        assert apart(younger, older) >= 14


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("kind", SEEN)
def test_the_three_tones_of_a_bed_hold_apart(name: str, family: str, kind: str | None) -> None:
    theme, seen = THEMES[name], vision(kind)
    for one, other in itertools.pairwise(TIERS):
        assert lab_distance(theme[f"{family}-{one}"], theme[f"{family}-{other}"], seen) >= 12


def test_both_themes_define_the_same_roles() -> None:
    assert list(LIGHT) == list(DARK)
    css = style_variables()
    assert all(css.count(f"--{name}:") == 2 for name in LIGHT)


def test_dark_applies_to_screens_only_so_print_is_light() -> None:
    assert "@media screen and (prefers-color-scheme:dark)" in style_variables()


@pytest.mark.parametrize(
    ("path", "shortened"),
    [
        ("M0,0L10.04,0L10.04,5L20,5L20,5", "M0,0H10V5H20"),
        ("M1,1L2,2L3,1Z", "M1,1L2,2L3,1Z"),
        ("M0,0L5,0L9,0L9,4", "M0,0H9V4"),
        ("M0,0L1,0M5,5L5,6", "M0,0H1M5,5V6"),
    ],
)
def test_paths_keep_their_corners(path: str, shortened: str) -> None:
    assert shorten_path(path) == shortened
