"""The height that a footprint's description states: three sizes of which two are the body's, or a height outright."""

import re
from functools import cache

from leeward.known import Known
from leeward.parts.names import NamedHeight

SIZE = r"(\d+(?:\.\d+)?) ?(?:mm)?"
THREE = re.compile(rf"(?<![\w.]){SIZE} ?[x×*] ?{SIZE} ?[x×*] ?{SIZE}(?:\^3)? ?(body)?", re.IGNORECASE)
HEIGHT = re.compile(
    r"(?<!digit )\bh(?:eight)? ?[=:]? ?(\d+(?:\.\d+)?) ?mm|(\d+(?:\.\d+)?) ?mm (?:height|high|tall)\b", re.I
)
PITCH = re.compile(r"(\d+(?:\.\d+)?) ?mm pitch", re.IGNORECASE)
WEB = re.compile(r"\bhttps?:\S*")
AGREES_MM = 0.5  # sides given in a description are the body's within this


def height_in_description(text: str, body_mm: tuple[float, float], standoff_mm: float) -> NamedHeight | None:
    """Return the height over the board that a description states, None where it states none.

    Three sizes count where two of them are the body's; if they are said to be the body's, the stand-off comes on top.
    """
    sizes, outright_mm = _stated(text)
    for length, width, height, of_body in sizes:
        sides = zip(sorted((length, width)), sorted(body_mm), strict=True)
        if height > 0 and all(abs(one - other) <= AGREES_MM for one, other in sides):
            seated = height + (standoff_mm if of_body else 0.0)
            return NamedHeight(Known(seated, "sizes in the description", "medium"), of_body=True)
    return None if outright_mm is None else NamedHeight(Known(outright_mm, "height in the description", "medium"))


@cache
def _stated(text: str) -> tuple[tuple[tuple[float, float, float, bool], ...], float | None]:
    """Return what stands in a description: triples of sizes, with whether they are called the body's, and a height.

    A height that is the pitch too is a slip for it: libraries hold a row of such.
    """
    words = WEB.sub("", text)
    sizes = tuple((float(a), float(b), float(c), bool(body)) for a, b, c, body in THREE.findall(words))
    pitches = {float(pitch) for pitch in PITCH.findall(words)}
    heights = [float(one or other) for one, other in HEIGHT.findall(words)]
    return sizes, next((height for height in heights if height > 0 and height not in pitches), None)
