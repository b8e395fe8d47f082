"""Figures and places in words, the same in every form of report."""

import math
from collections.abc import Mapping

from leeward.board.names import spoken
from leeward.known import Known
from leeward.parts.records import Part
from leeward.review import words

UNPOLARISED = (
    "chip resistor",
    "chip capacitor",
    "chip inductor",
    "chip fuse",
    "chip thermistor",
    "film chip capacitor",
    "metal strip shunt",
)
# What pad 1 is of parts with two lands, by the convention of KiCad's library (from memory): the mark to look for.
POLARITY = {
    "chip diode": "cathode",
    "chip LED": "cathode",
    "moulded diode": "cathode",
    "small diode": "cathode",
    "flat-lead diode": "cathode",
    "tantalum capacitor": "plus",
    "aluminium can capacitor": "plus",
}
# A review words its reasons in the same way.
counted, direction, force, listed, within = words.counted, words.direction, words.force, words.listed, words.within

DOUBTS = {
    "air_h": "how well the air heats",
    "reach": "how far the air carries",
    "flow": "the air's flow",
    "outlet": "the air's temperature at the outlet",
    "vented": "the share of air that leaves upward",
    "heater": "the board heater's coupling",
    "laminate_heat": "the laminate's heat capacity",
    "copper": "the copper's thickness",
    "body_heat": "the bodies' heat capacity",
}


def sentence(text: str) -> str:
    """Return a text with a capital first."""
    return text[:1].upper() + text[1:]


def pad_one(part: Part) -> str | None:
    """Return where the first pad of a part lies and on which net, None for chips that go either way round."""
    if part.family.value in UNPOLARISED or len(part.footprint.pads) < 2:
        return None
    first = next((pad for pad in part.footprint.pads if pad.number in ("1", "A1", "K")), None)
    if first is None:
        return None
    dx, dy = first.x_mm - part.footprint.x_mm, first.y_mm - part.footprint.y_mm
    where = direction(math.degrees(math.atan2(-dy, dx)))  # y runs down
    net = f" ({spoken(first.net)})" if first.net else ""
    sign = POLARITY.get(part.family.value) if len(part.footprint.pads) == 2 else None
    mark = f", the {sign} in KiCad's library" if sign else ""
    return f"pad {first.number}{net} to the {where}{mark}"


def figure(value: float | None, places: int = 0) -> str:
    """Return a figure with fixed decimals, a dash for what is unknown, no minus before zero."""
    if value is None or not math.isfinite(value):
        return "-"
    return f"{round(value, places) + 0.0:.{places}f}"


def doubted(known: Known[float], places: int = 0) -> str:
    """Return a figure with a question mark behind it where its confidence is low."""
    return figure(known.value, places) + mark(known)


def mark(known: Known[object]) -> str:
    """Return the question mark that follows a value of low confidence."""
    return "?" if known.confidence == "low" else ""


def chance(probability: float | None) -> str:
    """Return a probability in percent; the ends of the scale are never claimed."""
    if probability is None or not math.isfinite(probability):
        return "-"
    if probability < 0.01:
        return "<1%"
    return ">99%" if probability > 0.99 else f"{probability * 100:.0f}%"


def short(source: str, most: int = 34) -> str:
    """Return the beginning of a source, up to where it goes into detail."""
    head = source
    for sign in (" (", ": ", "; ", ", "):
        head = head.split(sign)[0]
    return head if len(head) <= most else head[: most - 1].rstrip() + "\N{HORIZONTAL ELLIPSIS}"


def turn(degrees: float) -> str:
    """Return an angle without decimals that say nothing."""
    return f"{round(degrees, 1) + 0.0:g}"


def clean(text: str) -> str:
    """Return a text without control characters: a name in a board file must steer neither terminal nor page."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


EVIDENCE_UNITS = {
    "mm": (" mm", 2),
    "mm2": (" mm2", 1),
    "c": (" C", 0),
    "n": (" N", 2),
    "mg": (" mg", 0),
    "s": (" s", 0),
}


def evidence_words(evidence: Mapping[str, float]) -> str:
    """Return the numbers behind a finding in words: "gap 0.35 mm, peak 231 C, probability 62%"."""
    return ", ".join(_evidence(name, value) for name, value in evidence.items())


def _evidence(name: str, value: float) -> str:
    words = name.split("_")
    if words[0] == "probability":
        return f"{' '.join(words)} {chance(value)}"
    unit, places = EVIDENCE_UNITS.get(words[-1], ("", 2))
    said = " ".join(words[:-1] if unit else words)
    return f"{said} {value:.0f}" if not unit and value == round(value) else f"{said} {figure(value, places)}{unit}"
