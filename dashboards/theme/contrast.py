"""Contrast and colour-vision arithmetic, for the tests of the theme.

Contrast: WCAG 2.2 relative luminance and contrast ratio. Lab: CIE 1976 L*a*b*, white D65, with the
sRGB transfer function of IEC 61966-2-1.
"""

import numpy as np


def rgb_of(colour: str) -> np.ndarray:
    """Linear-light RGB in 0..1 of a ``#RRGGBB`` colour; shape (3,)."""
    raw = colour.lstrip("#")
    if len(raw) != 6:
        raise ValueError(f"{colour!r} is not written #RRGGBB")
    value = np.array([int(raw[i : i + 2], 16) for i in (0, 2, 4)]) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def contrast_ratio(first: str, second: str) -> float:
    """WCAG contrast of two colours, 1 (the same) to 21 (black on white)."""
    weights = np.array([0.2126, 0.7152, 0.0722])
    light, dark = sorted((float(weights @ rgb_of(c)) for c in (first, second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def lab_of(linear_rgb: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of a linear RGB colour; shape (3,)."""
    to_xyz = np.array(
        [
            [0.4124564, 0.3575761, 0.1804375],
            [0.2126729, 0.7151522, 0.0721750],
            [0.0193339, 0.1191920, 0.9503041],
        ]
    )
    ratio = to_xyz @ np.clip(linear_rgb, 0, 1) / np.array([0.95047, 1.0, 1.08883])
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def lab_distance(first: str, second: str, vision: np.ndarray | None = None) -> float:
    """Euclidean distance in L*a*b*; ``vision`` is a 3 x 3 matrix on linear RGB, or None."""
    seen = np.eye(3) if vision is None else vision
    return float(np.linalg.norm(lab_of(seen @ rgb_of(first)) - lab_of(seen @ rgb_of(second))))
