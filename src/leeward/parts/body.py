"""The body's outline in plan, by the first rung that holds.

Rungs: the parts file, the fab drawing, the footprint's name, the courtyard less its excess, the lands.
"""

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from leeward.board.records import Footprint
from leeward.constants import number, table
from leeward.known import Known
from leeward.parts.families import Family
from leeward.parts.frame import Box, box_in_part_frame, box_on_board, centre, centred, grown, size
from leeward.parts.lands import Lands, against_body, median_of
from leeward.parts.names import NamedBody, body_in_name
from leeward.parts.records import LeadStyle

AGREES_MM = 0.5  # two sources of a body's side agree within this
OUTSIDE_SHARE = 1.15  # a fab drawing may be this much larger than the courtyard ...
OUTSIDE_MM = 0.3  # ... and this much more
MARK_SHARE = 0.2  # a fab drawing smaller than this share of the lands is a mark, not a body
COVERS_SHARE = 0.5  # a body that hides its lands is at least this share of their extent, drawn for hand soldering too
FEET_UNDER_MM = 0.2  # gull-wings' lands whose middle lies so far under a drawing show that it holds the leads
FEET_AWAY_MM = 1.7  # lands that begin so far from a drawing are not reached by its leads; 1.57 mm is the most seen
FEET_AWAY_OF_OUTLINE_MM = 1.0  # the same where the name gives an outline without its size, which often comes in several
PIN_HALF_WIDTH_MM = 0.6  # pins drawn on the fab layer are narrower than twice this
CHIP_CARRIER = "quad J-lead"  # the family whose oldest drawings show the lands' extent
HIDES_LANDS: frozenset[LeadStyle] = frozenset({"bottom-terminated", "ball-grid", "castellated"})


@dataclass(frozen=True, slots=True)
class Body:
    """A body's box in the part's frame and its outline on the board."""

    box: Box
    outline: BaseGeometry  # board frame
    rung: Known[str]


def body(footprint: Footprint, family: Family, read: Lands, given_mm: Known[tuple[float, float]] | None) -> Body:
    """Return the outline of a part's body.

    `given_mm` is the size from the parts file along x and y of the part's frame, None where it gives none.
    """
    if not family.stands:
        box = read.box or centred((0.0, 0.0), (0.0, 0.0))
        return _boxed(footprint, box, Known("no body", "lands only", "high"))
    if given_mm is not None:
        box = centred(_middle(footprint, read), given_mm.value)
        return _boxed(footprint, box, Known("parts file", given_mm.source, given_mm.confidence))
    name = footprint.library_id.rpartition(":")[2]
    named = body_in_name(name, round(read.longer_side_mm, 6)) if _names_its_body(family) else None
    fab = _by_fab(footprint, family, read, named)
    return fab or _without_fab(footprint, family, read, named)


def _names_its_body(family: Family) -> bool:
    """Say whether a size in the name is the body's.

    Arrays give an element's, connectors rows and columns, sockets that of the package they take.
    """
    return family.id != "chip array" and family.lead_style not in ("connector", "socket")


def _named_box(footprint: Footprint, named: NamedBody, family: Family, read: Lands) -> Box:
    return centred(_middle(footprint, read), _laid(named, family, read))


def _without_fab(footprint: Footprint, family: Family, read: Lands, named: NamedBody | None) -> Body:
    if named is not None:
        box = _named_box(footprint, named, family, read)
        away_mm = FEET_AWAY_MM if named.by_size else FEET_AWAY_OF_OUTLINE_MM
        if not _has_gull_wings(family, read, named) or _is_between_feet(box, read, away_mm):
            return _boxed(footprint, box, Known("name", named.by, "medium"))
    if footprint.courtyard is not None and not footprint.courtyard.is_empty:
        return _by_courtyard(footprint, family, read)
    return _by_lands(footprint, family, read)


def _by_fab(footprint: Footprint, family: Family, read: Lands, named: NamedBody | None) -> Body | None:
    """Return the body that the fab drawing encloses, None where it is missing or cannot be a body."""
    if footprint.fab is None or footprint.fab.is_empty:
        return None
    box = box_in_part_frame(footprint.fab, footprint)
    if _is_mark(box, family, read) or _leaves_courtyard(box, footprint):
        return None
    if family.lead_style == "tab":
        return _without_pins(footprint, named)
    if family.id == CHIP_CARRIER and _reaches_lands(box, read, within_mm=0.25):
        excess = number("families", "old_j_lead_excess_mm")
        narrowed = grown(box, *(-excess / 2 if faced else 0.0 for faced in read.axes))
        text = "fab drawing, less the 1.06 mm by which it draws the lands' extent"
        return _boxed(footprint, narrowed, Known("fab drawing", text, "medium"))
    if _has_gull_wings(family, read, named) and (
        _holds_leads(box, read) or _misses_leads(box, footprint, family, read, named)
    ):
        return None
    return Body(box, footprint.fab, _fab_rung(box, named))


def _without_pins(footprint: Footprint, named: NamedBody | None) -> Body | None:
    """Return the fab drawing of a tab package without the pins that it shows."""
    if footprint.fab is None:
        return None
    kernel = footprint.fab.buffer(-PIN_HALF_WIDTH_MM, join_style="mitre")
    opened = kernel.buffer(PIN_HALF_WIDTH_MM, join_style="mitre")
    if opened.is_empty:
        return None
    box = box_in_part_frame(opened, footprint)
    return _boxed(footprint, box, _fab_rung(box, named))


def _fab_rung(box: Box, named: NamedBody | None) -> Known[str]:
    if named is None:
        return Known("fab drawing", "fab drawing", "high")
    apart = max(abs(a - b) for a, b in zip(sorted(size(box)), sorted(named.size_mm), strict=True))
    if apart <= AGREES_MM:
        return Known("fab drawing", f"fab drawing, and the {named.by} agrees", "high")
    stated = f"{named.size_mm[0]:g}x{named.size_mm[1]:g} mm"
    return Known("fab drawing", f"fab drawing, though the {named.by} gives {stated}", "medium")


def _by_courtyard(footprint: Footprint, family: Family, read: Lands) -> Body:
    box = box_in_part_frame(footprint.courtyard, footprint)
    inner = grown(box, -family.courtyard_excess_mm, -family.courtyard_excess_mm)
    estimate = _lands_less_overhang(family, read)
    if estimate is not None and family.lead_style in ("gull-wing", "j-lead", "tab"):
        inner = _narrower(inner, estimate, read.axes)
    return _boxed(footprint, inner, Known("courtyard", "courtyard less its excess", "medium"))


def _by_lands(footprint: Footprint, family: Family, read: Lands) -> Body:
    estimate = _lands_less_overhang(family, read)
    if footprint.silk is None or footprint.silk.is_empty:
        box = estimate or centred((0.0, 0.0), (0.0, 0.0))
        return _boxed(footprint, box, Known("lands", "box round the lands less their overhang", "low"))
    silk = box_in_part_frame(footprint.silk, footprint)
    told = family.lead_style == "ball-grid" or family.lead_style in table("families")["land_overhang_mm"]
    if estimate is None or not told:
        both = silk if read.box is None else _round(silk, read.box)
        return _boxed(footprint, both, Known("silk", "box round the silk drawing and the lands", "low"))
    box = _narrower(silk, estimate, read.axes)
    return _boxed(footprint, box, Known("lands", "lands less their overhang, and the silk drawing", "low"))


def _lands_less_overhang(family: Family, read: Lands) -> Box | None:
    """Return the box round the lands, moved in by what lands reach beyond the body in this lead style."""
    if read.box is None:
        return None
    if family.lead_style == "ball-grid":
        margin = (read.pitch_mm or 0.0) / 4
        return grown(read.box, margin, margin)
    overhang = table("families")["land_overhang_mm"].get(family.lead_style)
    inset = 0.0 if overhang is None else float(overhang["value"])
    extents = size(read.box)
    along_x, along_y = (
        -min(inset, extent / 4) if faced else 0.0 for extent, faced in zip(extents, read.axes, strict=True)
    )
    return grown(read.box, along_x, along_y)


def _round(one: Box, other: Box) -> Box:
    return min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])


def _narrower(box: Box, estimate: Box, axes: tuple[bool, bool]) -> Box:
    """Return `box` with the estimate's extents where rows face each other and the estimate is smaller."""
    extents = [
        min(own, other) if faced else own for own, other, faced in zip(size(box), size(estimate), axes, strict=True)
    ]
    return centred(centre(box), (extents[0], extents[1]))


def _laid(named: NamedBody, family: Family, read: Lands) -> tuple[float, float]:
    """Return the named size along x and y; the lands say which way it lies where the name does not."""
    length, width = named.size_mm
    if read.box is None or length == width:
        return length, width
    land_x, land_y = size(read.box)
    if named.orientated:
        as_written = abs(length - land_x) + abs(width - land_y)
        swapped = abs(width - land_x) + abs(length - land_y)
        return (width, length) if as_written > swapped + 1.0 else (length, width)
    faced_x, faced_y = read.axes
    if family.lead_style in ("gull-wing", "tab") and read.count > 2 and faced_x != faced_y:
        return (width, length) if faced_x else (length, width)  # leads leave by the long sides
    return (length, width) if land_x >= land_y else (width, length)


def _is_mark(box: Box, family: Family, read: Lands) -> bool:
    """Say whether the drawing is too small beside the lands to be the body.

    Bodies that hide their lands must cover half of them; leads of through-hole parts may reach far one way.
    """
    if read.box is None:
        return False
    share = COVERS_SHARE if family.lead_style in HIDES_LANDS else MARK_SHARE
    small = [own < share * other for own, other in zip(size(box), size(read.box), strict=True)]
    return all(small) if read.mount == "through-hole" else any(small)


def _leaves_courtyard(box: Box, footprint: Footprint) -> bool:
    """Say whether the fab drawing is much larger than the courtyard that should hold it."""
    if footprint.courtyard is None or footprint.courtyard.is_empty:
        return False
    courtyard = size(box_in_part_frame(footprint.courtyard, footprint))
    return any(own > OUTSIDE_SHARE * other + OUTSIDE_MM for own, other in zip(size(box), courtyard, strict=True))


def _has_gull_wings(family: Family, read: Lands, named: NamedBody | None) -> bool:
    """Say whether a part has gull-wings whose lands tell of the body; two or three do where a name speaks too.

    Leads of switches, relays, coils and the like may as well be bent under the body.
    """
    speaks = read.count >= 4 or (named is not None and read.mount == "smd")
    return family.lead_style == "gull-wing" and not family.by_pads and any(read.axes) and speaks


def _holds_leads(box: Box, read: Lands) -> bool:
    """Say whether a box takes in gull-wings: their lands then lie under it, those of small diodes hardly so."""
    outer, inner, _ = against_body(read, box)
    return median_of(outer + inner) / 2 < (-FEET_UNDER_MM if read.count >= 4 else 0.0)


def _misses_leads(box: Box, footprint: Footprint, family: Family, read: Lands, named: NamedBody | None) -> bool:
    """Say whether the drawing lies too far from the lands for its leads, and the name's size does not."""
    if named is None:
        return False
    if median_of(against_body(read, box)[1]) <= FEET_AWAY_MM:
        return False
    return _is_between_feet(_named_box(footprint, named, family, read), read)


def _is_between_feet(box: Box, read: Lands, away_mm: float = FEET_AWAY_MM) -> bool:
    """Say whether leads of a body reach the lands, and the body does not lie on them."""
    return median_of(against_body(read, box)[1]) <= away_mm and not _holds_leads(box, read)


def _reaches_lands(box: Box, read: Lands, within_mm: float) -> bool:
    """Say whether the drawing reaches the outer edges of the lands where rows face each other."""
    if read.box is None or not any(read.axes):
        return False
    return all(
        own >= lands - 2 * within_mm
        for own, lands, faced in zip(size(box), size(read.box), read.axes, strict=True)
        if faced
    )


def _middle(footprint: Footprint, read: Lands) -> tuple[float, float]:
    """Return the middle of the courtyard, else of the lands, else the footprint's own place; part frame."""
    if footprint.courtyard is not None and not footprint.courtyard.is_empty:
        return centre(box_in_part_frame(footprint.courtyard, footprint))
    return (0.0, 0.0) if read.box is None else centre(read.box)


def _boxed(footprint: Footprint, box: Box, rung: Known[str]) -> Body:
    return Body(box, box_on_board(box, footprint), rung)
