"""What published outlines allow over the leads: the ruler by which a 3D model is held to be of its outline or not.

The figures are those of the outlines' own tables, from memory, drawn up apart from the program's; where an outline
gives a basic dimension, makers' usual plus or minus 0.2 mm (0.25 mm on MS-022 and MS-029) stands beside it.
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outline:
    """A published outline: how footprints of it are named, the body across its rows, and the span over leads, mm."""

    source: str
    name: re.Pattern[str]
    body_mm: tuple[float, float]
    least_mm: float
    most_mm: float
    of_body: bool = False  # least and most are beyond the body


def _outline(source: str, name: str, body: tuple[float, float], over: tuple[float, float], **flags: bool) -> Outline:
    return Outline(source, re.compile(name), body, *over, **flags)


ANY = (0.0, 99.0)
OUTLINES = (
    _outline("MS-029", r"^PQFP-\d+_(28|32)", ANY, (2.35, 2.85), of_body=True),
    _outline("MS-026", r"^(L|T|V|E)QFP-", ANY, (1.8, 2.2), of_body=True),
    _outline("MO-142", r"^TSOP-I-", ANY, (1.4, 1.8), of_body=True),
    _outline("MS-024", r"^TSOP-II-", (10.0, 10.3), (11.56, 11.96)),
    _outline("MO-187", r"(MSOP|VSSOP|TSSOP)-", (2.9, 3.1), (4.75, 5.05)),
    _outline("MO-153", r"TSSOP|PWP0", (4.3, 4.5), (6.2, 6.6)),
    _outline("MO-153", r"TSSOP", (6.0, 6.2), (7.9, 8.3)),
    _outline("MO-153", r"TSSOP", (7.9, 8.1), (9.8, 10.2)),
    _outline("MO-137, MS-012", r"^(Q|S)SOP-|SO(IC|P)?-\d|SO-PowerPAD", (3.8, 4.0), (5.8, 6.2)),
    _outline("MO-271", r"PowerSSO", (7.4, 7.6), (10.1, 10.5)),
    _outline("MS-013, MO-119", r"^SOIC-\d+W", (7.4, 7.6), (10.0, 10.65)),
    _outline("MO-150", r"^SSOP-", (5.2, 5.4), (7.4, 8.2)),
    _outline("MO-166", r"^HSOP-", (10.9, 11.1), (13.9, 14.5)),
    _outline("SOT158", r"^VSO-40", (7.5, 7.7), (11.8, 12.3)),
)


def outside_its_outline(name: str, body_mm: float, span_mm: float) -> str | None:
    """Return what outline a model's span across two rows does not keep to, None where it does or none is known."""
    for outline in OUTLINES:
        if outline.name.search(name) and outline.body_mm[0] <= body_mm <= outline.body_mm[1]:
            over = span_mm - body_mm if outline.of_body else span_mm
            kept = outline.least_mm - 0.005 <= over <= outline.most_mm + 0.005
            return None if kept else f"{outline.source} has {outline.least_mm:g} to {outline.most_mm:g} mm"
    return None
