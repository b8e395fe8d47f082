"""What every part of a board is: family, lead style, body, height, mass, limits."""

from dataclasses import dataclass, replace
from typing import Literal

import shapely

from leeward.board.records import Board, Footprint
from leeward.known import Known, NotAssessed
from leeward.parts.body import Body, body
from leeward.parts.cans import with_cans
from leeward.parts.families import Family, Words, by_lead_style, families, recognise
from leeward.parts.fields import given_in_fields
from leeward.parts.frame import size
from leeward.parts.height import Height, height, model_of_its_own
from leeward.parts.lands import Lands, lands, lead_style_by_lands
from leeward.parts.leads import leads
from leeward.parts.limits import BodyLimit, is_of_plastic, limit
from leeward.parts.mass import heat_capacity_j_k, mass
from leeward.parts.models import NO_MODELS, ModelTops
from leeward.parts.order import natural_key
from leeward.parts.overrides import NONE, Given, Overrides, check_references, given_for
from leeward.parts.records import Alloy, LeadStyle, Part, Parts
from leeward.parts.resins import resin_of

NOWHERE = shapely.Polygon()
UNDER_BODY: frozenset[LeadStyle] = frozenset({"bottom-terminated", "ball-grid"})
TOLD_BY_LANDS: frozenset[LeadStyle] = UNDER_BODY | {"gull-wing", "j-lead"}
ALWAYS_NAMED: frozenset[LeadStyle] = frozenset({"j-lead", "ball-grid", "end-cap"})  # no family that is open has them
LEADED_ANYWAY: frozenset[LeadStyle] = frozenset({"connector", "socket", "hardware", "through-hole"})
IN_ROWS: frozenset[LeadStyle] = frozenset(
    {"gull-wing", "j-lead", "bottom-terminated", "castellated", "tab", "socket", "other"}
)


@dataclass(frozen=True, slots=True)
class Stature:
    """What stands on the lands: height and mass, nothing where the part is not fitted."""

    height_mm: Known[float]
    mass_mg: Known[float]
    heat_capacity_j_k: float


def identify(
    board: Board, overrides: Overrides = NONE, alloy: Alloy = "SAC305", models: ModelTops = NO_MODELS
) -> Parts:
    """Return every footprint of the board that has a pad as a part, in natural order of reference, then id.

    `alloy` is the solder of the board; it decides which table of J-STD-020D sets the limits of packages. `models` are
    the heights of the 3D models that were found.
    Raises InputError where the overrides name a reference that the board does not have, and where a field of a
    footprint that is meant for this program says what cannot be.
    """
    check_references(overrides, board)
    padded = [footprint for footprint in board.footprints if footprint.pads]
    ordered = sorted(padded, key=lambda footprint: (natural_key(footprint.ref), footprint.ref, footprint.id))
    parts = with_cans(
        part(footprint, _given(footprint, overrides, board.file), alloy, models.by_id.get(footprint.id))
        for footprint in ordered
    )
    reasons = ((each, _why_not_assessed(each)) for each in parts)
    return Parts(
        by_id={each.id: each for each in parts},
        not_assessed=tuple(NotAssessed(each.id, each.ref, reason) for each, reason in reasons if reason),
        alloy=alloy,
    )


def _given(footprint: Footprint, overrides: Overrides, file: str) -> Given:
    """Return what the user says of a part: the fields of its footprint, and the parts file on top."""
    return Given(**{**given_in_fields(footprint, file), **given_for(overrides, footprint)})


def part(footprint: Footprint, given: Given, alloy: Alloy, model_mm: Known[float] | None = None) -> Part:
    """Return what one footprint was taken to be."""
    read = lands(footprint)
    family = _family(footprint, read, given)
    shape = body(footprint, family.value, read, given.body_mm)
    style = given.lead_style or _lead_style(family, read, shape)
    outline = leads(footprint, family.value, style.value, shape, read)
    body_mm = Known(_extents(shape, family.value), shape.rung.source, shape.rung.confidence)
    own_model_mm = model_of_its_own(model_mm, footprint, family.value, body_mm.value, read)
    tall = height(footprint, family.value, body_mm.value, given.height_mm, own_model_mm)
    stands = footprint.fitted and family.value.stands and shape.outline.area > 0
    stature = _stature(footprint, family.value, body_mm, tall, given)
    limits = _limit(footprint, family.value, body_mm.value, tall, alloy, read, given)
    return Part(
        footprint=footprint,
        family=Known(family.value.id, family.source, family.confidence),
        lead_style=style,
        body_mm=body_mm,
        body=shape.outline if stands else NOWHERE,
        leads=outline.outline if stands else NOWHERE,
        lead_span_mm=_rounded(outline.span_mm) if family.value.stands else (0.0, 0.0),
        pitch_mm=read.pitch_mm,
        rows=_rows(style.value, read),
        exposed_pad=read.exposed_pad if style.value in IN_ROWS else None,
        height_mm=stature.height_mm,
        mass_mg=stature.mass_mg,
        heat_capacity_j_k=stature.heat_capacity_j_k,
        limit_c=limits.limit_c,
        limit_spread_c=limits.spread_c,
        max_ramp_c_s=limits.max_ramp_c_s,
        fragile_class=limits.fragile_class,
        hazards=family.value.hazards if stands else (),
        outline_source=shape.rung,
        reworkable=stands and read.box is not None,
        surface_mount=read.mount == "smd",
        msl=given.msl,
        floor_life=None if given.floor_life is None else given.floor_life.value,
    )


def _family(footprint: Footprint, read: Lands, given: Given) -> Known[Family]:
    if given.family is not None:
        return Known(families()[given.family.value], given.family.source, given.family.confidence)
    words = Words(footprint.description, footprint.keywords, footprint.value)
    found = recognise(footprint.library_id, footprint.ref, read, words)
    if found.value.id != "unknown surface-mount part":
        return found
    return _family_by_lands(found, footprint, read, given) or found


def _family_by_lands(unknown: Known[Family], footprint: Footprint, read: Lands, given: Given) -> Known[Family] | None:
    """Judge an unrecognised part by its lands against its body's edge."""
    shape = body(footprint, unknown.value, read, given.body_mm)
    style = lead_style_by_lands(read, shape.box)
    family = None if style is None else by_lead_style(style, size(shape.box), read)
    return None if family is None else Known(family, f"{unknown.source}; its lands look like {style}", "low")


def _lead_style(family: Known[Family], read: Lands, shape: Body) -> Known[LeadStyle]:
    """Return the lead style of the family, with the lands as a second opinion where they can have one."""
    style = family.value.lead_style
    if read.mount == "through-hole" and style not in LEADED_ANYWAY:
        return Known("through-hole", "soldered through holes", "medium")
    seen = lead_style_by_lands(read, shape.box)
    if family.value.by_pads:
        if seen is not None and seen not in ALWAYS_NAMED:
            return Known(seen, f"lands against the body's edge; the family {family.value.id} leaves it open", "medium")
        return Known(style, f"usual for the family {family.value.id}", "low")
    agree = seen == style or (style in UNDER_BODY and seen in UNDER_BODY | {"end-cap"})  # told apart by name alone
    if seen is None or style not in TOLD_BY_LANDS or agree:
        return Known(style, family.source, family.confidence)
    return Known(style, f"{family.source}; the lands against the body's edge look like {seen}", "low")


def _stature(
    footprint: Footprint, family: Family, body_mm: Known[tuple[float, float]], tall: Height, given: Given
) -> Stature:
    if not footprint.fitted or not family.stands:
        why = "not fitted" if not footprint.fitted else "lands only"
        return Stature(Known(0.0, why, "high"), Known(0.0, why, "high"), 0.0)
    sure = body_mm.confidence if tall.height_mm.confidence != "low" else "low"
    weight = given.mass_mg or mass(family.material, body_mm.value, tall.thickness_mm, sure)
    return Stature(tall.height_mm, weight, heat_capacity_j_k(family.material, weight.value))


def _limit(
    footprint: Footprint,
    family: Family,
    body_mm: tuple[float, float],
    tall: Height,
    alloy: Alloy,
    read: Lands,
    given: Given,
) -> BodyLimit:
    surface_mount = read.mount == "smd"
    housed = is_of_plastic(family, surface_mount=surface_mount)
    resin = (given.resin or resin_of(footprint)) if housed else None
    found = limit(family, body_mm, tall.thickness_mm, alloy, surface_mount=surface_mount, resin=resin)
    return found if given.limit_c is None else replace(found, limit_c=given.limit_c)


def _extents(shape: Body, family: Family) -> tuple[float, float]:
    if not family.stands:
        return 0.0, 0.0
    return _rounded(size(shape.box))


def _rounded(extents: tuple[float, float]) -> tuple[float, float]:
    """Cut off what turning left behind the sixth decimal, so that sizes do not depend on the angle."""
    return round(extents[0], 6), round(extents[1], 6)


def _rows(style: LeadStyle, read: Lands) -> Literal[0, 2, 4]:
    return read.rows if style in IN_ROWS and read.count > 2 else 0


def _why_not_assessed(each: Part) -> str | None:
    if each.footprint.fitted and each.reworkable:
        return None
    if not each.footprint.fitted:
        return "not fitted: only its lands are there"
    if not each.body.is_empty:
        return f"{each.family.value} without a soldered land"
    return f"{each.family.value}: lands only, nothing stands there to be heated or taken off"
