"""Small marks inside tables, as inline SVG that follows the theme."""

from markupsafe import Markup

RULER_WIDTH = 146


def ruler(has: float, needs: float) -> Markup:
    """A measure of how much is there of what is needed: ticks and an ink bar, never a colour."""
    marks = round(needs) if 0 < needs <= 60 else 10
    step = RULER_WIDTH / max(marks, 1)
    every = 10 if marks > 20 else 5 if marks > 8 else 1
    ticks = "".join(
        f"M{i * step:.1f} 9V{2 if i % every == 0 or i == marks else 5}" for i in range(marks + 1)
    )
    done = RULER_WIDTH * min(1.0, has / needs) if needs else 0.0
    return Markup(
        '<svg width="{w}" height="12" viewBox="0 0 {w} 12" aria-hidden="true">'
        '<path d="M0 9H{w}{ticks}" stroke="var(--ink3)" stroke-width="0.7" fill="none"/>'
        '<path d="M0 9.5H{done}" stroke="var(--ink)" stroke-width="3"/></svg>'
    ).format(w=RULER_WIDTH, ticks=ticks, done=f"{done:.1f}")
