"""Colours, light and dark. Charts name a role; the page's style sheet gives it its value.

A chart writes ``var(--ink)`` where it wants ink. Drawings are SVG inside the page, so one drawing
serves both themes, print and forced colours, and none is drawn again when the theme changes.
"""

FAMILIES = ("pushing", "pulling", "legs", "trunk")
TIERS = ("below", "within", "above")
AGE_BANDS = ("age1", "age2", "age3", "age4")

LIGHT: dict[str, str] = {
    "paper": "#FAF7F0",
    "wash": "#F0EBDF",
    "rule": "#D9D2C2",
    "ink": "#23211D",
    "ink2": "#565146",
    "ink3": "#6F685B",
    "progress": "#17588C",
    "progress-band": "#CFDFEA",
    "loss": "#A63F14",
    "loss-band": "#F1D7C8",
    "prior": "#6A6272",
    "pushing-below": "#EFE2C6",
    "pushing-within": "#DABC86",
    "pushing-above": "#A37C3A",
    "pulling-below": "#DBE0E2",
    "pulling-within": "#A5B2BA",
    "pulling-above": "#5F727E",
    "legs-below": "#DCE0C8",
    "legs-within": "#9CAA76",
    "legs-above": "#5C6A34",
    "trunk-below": "#E9DBD5",
    "trunk-within": "#C4A497",
    "trunk-above": "#8B6151",
    "age1": "#B58E48",
    "age2": "#8A6833",
    "age3": "#5C4526",
    "age4": "#2B2115",
    "on-rock": "#1B1A17",
}

DARK: dict[str, str] = {
    "paper": "#161512",
    "wash": "#22201B",
    "rule": "#3A362E",
    "ink": "#EEE8DC",
    "ink2": "#BDB5A5",
    "ink3": "#9A9282",
    "progress": "#74B4E3",
    "progress-band": "#1F3546",
    "loss": "#F0845A",
    "loss-band": "#46291A",
    "prior": "#A79FB0",
    "pushing-below": "#413723",
    "pushing-within": "#8A703E",
    "pushing-above": "#E2C48A",
    "pulling-below": "#2A3035",
    "pulling-within": "#566570",
    "pulling-above": "#9DB0BC",
    "legs-below": "#262B1A",
    "legs-within": "#4F5B30",
    "legs-above": "#98A962",
    "trunk-below": "#372B26",
    "trunk-within": "#755447",
    "trunk-above": "#C29583",
    "age1": "#77663F",
    "age2": "#A08450",
    "age3": "#CBAE74",
    "age4": "#F6E9CC",
    "on-rock": "#FFFFFF",
}

# Roles that may carry text; every other colour is for marks only.
TEXT_ROLES = ("ink", "ink2", "ink3", "progress", "loss", "prior")


def role(name: str) -> str:
    """The CSS reference to a colour role, for chart specifications and style sheets.

    Raises
    ------
    KeyError
        when the theme has no such role; the message lists the roles.
    """
    if name not in LIGHT:
        raise KeyError(f"no colour role {name!r}; known: {', '.join(LIGHT)}")
    return f"var(--{name})"


def rock(family: str, tier: str) -> str:
    """The CSS reference to the tone of a muscle family below, within or above its range."""
    return role(f"{family}-{tier}")


PAPER, WASH, RULE = role("paper"), role("wash"), role("rule")
INK, INK2, INK3 = role("ink"), role("ink2"), role("ink3")
PROGRESS, PROGRESS_BAND = role("progress"), role("progress-band")
LOSS, LOSS_BAND = role("loss"), role("loss-band")
PRIOR = role("prior")


def style_variables() -> str:
    """CSS that defines every role, light by default and in print, dark where the reader asks."""
    light = _block(LIGHT)
    dark = _block(DARK)
    return (
        f":root{{color-scheme:light dark;{light}}}\n"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}\n"
    )


def _block(colours: dict[str, str]) -> str:
    return "".join(f"--{name}:{value};" for name, value in colours.items())
