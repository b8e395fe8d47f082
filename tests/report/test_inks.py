"""The inks: what must be told apart is, in colour, to the colour-blind, and in grey."""

from itertools import combinations, pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from leeward.report.inks import INKS, PAGE, TEXT, Shade

Floats = NDArray[np.float64]
STEP = 7.0  # steps of lightness (of 100) between neighbouring zones; about three just noticeable differences
# Linear sRGB as a dichromat sees it, severity 1: Machado, Oliveira and Fernandes, "A physiologically-based model for
# simulation of color vision deficiency", IEEE TVCG 15 (2009), table 1.
DICHROMATS = {
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}


def linear(colour: str) -> Floats:
    """Return linear sRGB of a #rrggbb colour, IEC 61966-2-1."""
    shares = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    """Return the relative luminance of WCAG 2."""
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def lightness(colour: str) -> float:
    """Return CIE 1976 L*, which is what a grey print keeps of a colour."""
    y = luminance(colour)
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else y * 24389 / 27


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of WCAG 2."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def lab(rgb: Floats) -> Floats:
    """Return CIE L*a*b* of linear sRGB, white D65."""
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ np.clip(rgb, 0, 1)
    share = xyz / [0.9505, 1.0, 1.089]
    f = np.where(share > 216 / 24389, np.cbrt(share), (share * 24389 / 27 + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def fill(name: str, look: str) -> str:
    """Return an ink's fill on a light or a dark page."""
    shade = INKS[name].fill
    assert shade is not None
    return str(getattr(shade, look))


@pytest.mark.parametrize("look", ["light", "dark"])
def test_zones_are_steps_of_one_scale(look: str) -> None:
    """From board to the hottest zone lightness goes one way, by steps that a grey print keeps."""
    steps = [lightness(fill(name, look)) for name in ("board", "heat-1", "heat-2", "heat-3", "heat-4")]
    gaps = [b - a for a, b in pairwise(steps[1:])]
    assert all(gap < -STEP for gap in gaps) if look == "light" else all(gap > STEP for gap in gaps)


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("sight", [*DICHROMATS, "all"])
def test_states_differ_to_every_colour_vision(look: str, sight: str) -> None:
    """Target, risk, shields and zones are at least 10 CIE76 units apart, also to a dichromat."""
    matrix = np.array(DICHROMATS.get(sight, np.eye(3)))
    names = ("target", "risk-high", "shield", "heat-1", "heat-2", "heat-3", "heat-4")
    seen = {name: lab(matrix @ linear(fill(name, look))) for name in names}
    near = {
        (a, b): float(np.linalg.norm(seen[a] - seen[b]))
        for a, b in combinations(names, 2)
        if np.linalg.norm(seen[a] - seen[b]) < 10
    }
    assert not near


@pytest.mark.parametrize("look", ["light", "dark"])
def test_words_can_be_read(look: str) -> None:
    """Words keep a contrast of 4.5 to 1 on what they stand on, as WCAG 2 asks."""
    pairs = [
        (name, PAGE)
        for name in INKS
        if name.endswith(("word", "word-bold", "word-faint", "ref")) and "mark" not in name
    ]
    on_marks = [(f"mark-{level}-word", INKS[f"mark-{level}"].fill) for level in ("high", "medium", "low")]
    low = {}
    for name, ground in [*pairs, *on_marks]:
        assert isinstance(ground, Shade)
        ratio = contrast(fill(name, look), getattr(ground, look))
        if ratio < 4.5:
            low[name] = ratio
    assert not low


@pytest.mark.parametrize("look", ["light", "dark"])
def test_words_and_lines_stand_out_from_every_zone(look: str) -> None:
    """Text and the wall on the hottest zone are still 3 to 1."""
    grounds = ("board", "heat-1", "heat-2", "heat-3", "heat-4")
    assert min(contrast(getattr(TEXT, look), fill(name, look)) for name in grounds) >= 3
