"""The inks that drawings are made with: what each one means, and how it looks on a light page, a dark one, on paper.

Colour is never alone: what an ink tells is told a second time by a hatch, a dash, a shape or a word in the drawing.
The heat inks are steps of one lightness scale from yellow to brown, the risk inks are violet, and what the operator
adds is green: those three differ to every kind of colour vision, and their greys on paper differ too.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shade:
    """One colour as #rrggbb on a light page and on a dark one; paper takes the light one."""

    light: str
    dark: str


@dataclass(frozen=True, slots=True)
class Ink:
    """How items of one meaning are drawn. Widths and dashes are in mm on paper; words take the fill."""

    means: str  # as a legend words it, "" where it needs no word
    fill: Shade | None = None
    stroke: Shade | None = None
    width_mm: float = 0.18
    dash_mm: tuple[float, ...] = ()
    bold: bool = False
    opacity: float = 1.0  # of the fill


PAGE = Shade("#ffffff", "#15191e")
TEXT = Shade("#1a222c", "#ece9e1")
FAINT = Shade("#59626d", "#a3abb3")
LINE = Shade("#c9ccd0", "#3c434b")
BOARD = Shade("#efece4", "#22272d")
WARM = Shade("#fbe8b0", "#43350f")
HOT = Shade("#f2c26b", "#6d490b")
MOLTEN = Shade("#e0934a", "#9b5c1b")
BLISTER = Shade("#bf6a2c", "#bd7040")
TARGET = Shade("#0b4f8a", "#8cc4f5")
TARGET_FILL = Shade("#94c2f0", "#1b5590")
RISK = Shade("#7a1257", "#f29bd4")
RISK_FILL = Shade("#f0c6e2", "#551642")
OWN = Shade("#0f6b5c", "#5ed3bd")
OWN_FILL = Shade("#a9ead0", "#0c3f2f")

INKS: Mapping[str, Ink] = {
    # the board as it is
    "page": Ink("", fill=PAGE),
    "board": Ink("board", fill=BOARD),
    "edge": Ink("board edge", stroke=TEXT, width_mm=0.3),
    "copper": Ink("copper", fill=TEXT, opacity=0.09),
    "land": Ink("land", fill=TEXT, opacity=0.22),
    "body": Ink("part", fill=PAGE, stroke=FAINT, width_mm=0.12, opacity=0.8),
    "not-fitted": Ink("not fitted", stroke=FAINT, width_mm=0.12, dash_mm=(0.6, 0.5)),
    "ref": Ink("", fill=TEXT),
    # where the board's peak passes a temperature, from the coolest zone to the hottest
    "heat-1": Ink("zone", fill=WARM, stroke=Shade("#8a6d1f", "#d8b765"), width_mm=0.15, dash_mm=(1.6, 0.8)),
    "heat-2": Ink("zone", fill=HOT, stroke=Shade("#7d4d0c", "#f0b45d"), width_mm=0.18, dash_mm=(0.7, 0.5)),
    "heat-3": Ink("zone", fill=MOLTEN, stroke=Shade("#5e2c07", "#ffd3a1"), width_mm=0.22),
    "heat-4": Ink("zone", fill=BLISTER, stroke=Shade("#3f1a02", "#ffe6c9"), width_mm=0.3),
    "heat-word": Ink("", fill=TEXT),
    "halo": Ink("", fill=PAGE),
    # the target and what is set over it
    "target": Ink("target", fill=TARGET_FILL, stroke=TARGET, width_mm=0.4),
    "target-behind": Ink("target, on the other side", stroke=TARGET, width_mm=0.3, dash_mm=(1.2, 0.6)),
    "target-pin": Ink("", fill=TARGET),
    "target-word": Ink("", fill=TARGET, bold=True),
    "wall": Ink("nozzle wall", fill=Shade("#3b444e", "#c9ced3"), stroke=TEXT, width_mm=0.12, opacity=0.72),
    "wall-behind": Ink("nozzle wall, on the other side", stroke=TEXT, width_mm=0.13, dash_mm=(0.9, 0.6)),
    # who stands in the heat
    "risk-high": Ink("high risk", fill=RISK_FILL, stroke=RISK, width_mm=0.4),
    "risk-medium": Ink("medium risk", fill=RISK_FILL, stroke=RISK, width_mm=0.18),
    "risk-line": Ink("", stroke=RISK, width_mm=0.15),
    "mark-high": Ink("high", fill=RISK, stroke=RISK, width_mm=0.2),
    "mark-high-word": Ink("", fill=PAGE, bold=True),
    "mark-medium": Ink("medium", fill=RISK_FILL, stroke=RISK, width_mm=0.25),
    "mark-medium-word": Ink("", fill=RISK, bold=True),
    "mark-low": Ink("low", fill=PAGE, stroke=FAINT, width_mm=0.2),
    "mark-low-word": Ink("", fill=TEXT),
    "leader": Ink("", stroke=TEXT, width_mm=0.13),
    "leader-end": Ink("", fill=TEXT),
    # what the operator puts on
    "shield": Ink("shield", fill=OWN_FILL, stroke=OWN, width_mm=0.3),
    "shield-line": Ink("", stroke=OWN, width_mm=0.15),
    "shield-veil": Ink("shield", fill=OWN, opacity=0.2),
    "mark-own": Ink("shield", fill=OWN, stroke=PAGE, width_mm=0.2),
    "mark-own-word": Ink("", fill=PAGE, bold=True),
    "shield-word": Ink("", fill=OWN, bold=True),
    "shield-edge": Ink("shield", stroke=OWN, width_mm=0.35),
    "dam": Ink("edge folded up", stroke=OWN, width_mm=0.8),
    "fence": Ink("fence", fill=OWN, stroke=OWN, width_mm=0.2),
    "probe": Ink("thermocouple", fill=PAGE, stroke=OWN, width_mm=0.35),
    "support": Ink("support pin", fill=OWN_FILL, stroke=OWN, width_mm=0.25),
    "probe-word": Ink("", fill=OWN, bold=True),
    # temperatures over time
    "stage": Ink("", fill=TEXT, opacity=0.05),
    "grid": Ink("", stroke=LINE, width_mm=0.1),
    "liquid": Ink("liquidus", stroke=Shade("#7d4d0c", "#f0b45d"), width_mm=0.25, dash_mm=(2.4, 0.8)),
    "setting": Ink("setting", stroke=OWN, width_mm=0.3, dash_mm=(0.5, 0.5)),
    "setting-word": Ink("", fill=OWN),
    "joint-1": Ink("", stroke=TARGET, width_mm=0.5),
    "joint-2": Ink("", stroke=TARGET, width_mm=0.3, dash_mm=(1.6, 0.6)),
    "joint-3": Ink("", stroke=TARGET, width_mm=0.3, dash_mm=(0.5, 0.5)),
    "behind": Ink("", stroke=FAINT, width_mm=0.4),
    "near-1": Ink("", stroke=RISK, width_mm=0.4),
    "near-2": Ink("", stroke=RISK, width_mm=0.3, dash_mm=(1.6, 0.6)),
    "near-3": Ink("", stroke=RISK, width_mm=0.3, dash_mm=(0.5, 0.5)),
    # lines and words of any drawing
    "outline": Ink("", stroke=TEXT, width_mm=0.2),
    "thin": Ink("", stroke=FAINT, width_mm=0.1),
    "word": Ink("", fill=TEXT),
    "word-bold": Ink("", fill=TEXT, bold=True),
    "word-faint": Ink("", fill=FAINT),
    # templates in true size
    "cut": Ink("cut", stroke=TEXT, width_mm=0.2),
    "fold": Ink("fold", stroke=TEXT, width_mm=0.15, dash_mm=(2.0, 1.0)),
    "measure": Ink("measure", stroke=FAINT, width_mm=0.13),
}
