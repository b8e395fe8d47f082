"""Footprints drawn in the test itself: invented parts with plain rectangular lands."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Footprint, Pad, PadKind, Side, Stackup

LandBox = tuple[str, float, float, float, float]  # number, centre x, centre y, width, height; part's frame, mm


def pad(number: str, x: float, y: float, width: float, height: float, kind: PadKind = "smd") -> Pad:
    """Return a rectangular pad of an unturned footprint at the origin."""
    drilled = kind in ("through-hole", "unplated")
    return Pad(
        number=number,
        kind=kind,
        shape="rect",
        x_mm=x,
        y_mm=y,
        copper=shapely.Polygon()
        if kind == "unplated"
        else shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2),
        layers=("F.Cu", "B.Cu") if drilled else ("F.Cu",),
        hole=shapely.Point(x, y).buffer(0.4) if drilled else None,
        drill_mm=0.8 if drilled else None,
        net="",
        zone_connection="inherited",
        has_paste=not drilled,
        has_mask_opening=True,
    )


def footprint(
    library_id: str,
    lands: Sequence[LandBox],
    *,
    ref: str = "U1",
    fab: BaseGeometry | None = None,
    courtyard: BaseGeometry | None = None,
    silk: BaseGeometry | None = None,
    kind: PadKind = "smd",
    fields: Mapping[str, str] | None = None,
    fitted: bool = True,
) -> Footprint:
    """Return an unturned footprint at the origin."""
    return Footprint(
        id=f"id-{ref}",
        ref=ref,
        value="",
        library_id=library_id,
        line=1,
        side="top",
        x_mm=0.0,
        y_mm=0.0,
        rotation_deg=0.0,
        fitted=fitted,
        attributes=frozenset(),
        description="",
        keywords="",
        fields=fields or {},
        pads=tuple(pad(*land, kind=kind) for land in lands),
        courtyard=courtyard,
        fab=fab,
        silk=silk,
        models=(),
    )


def placed(part: Footprint, x: float, y: float, rotation_deg: float, side: Side = "top") -> Footprint:
    """Return a footprint moved to a place and turned counter-clockwise as drawn with y down."""

    def moved(area: BaseGeometry | None) -> BaseGeometry | None:
        if area is None:
            return None
        return affinity.translate(affinity.rotate(area, -rotation_deg, origin=(0, 0)), x, y)

    outer = "F.Cu" if side == "top" else "B.Cu"
    pads = tuple(replace(each, copper=moved(each.copper), layers=(outer,)) for each in part.pads)
    return replace(
        part,
        side=side,
        x_mm=x,
        y_mm=y,
        rotation_deg=rotation_deg,
        pads=pads,
        fab=moved(part.fab),
        courtyard=moved(part.courtyard),
        silk=moved(part.silk),
    )


def box(width: float, height: float) -> BaseGeometry:
    """Return a rectangle round the origin."""
    return shapely.box(-width / 2, -height / 2, width / 2, height / 2)


def chip(library_id: str, length: float, ref: str = "R1", fab: BaseGeometry | None = None) -> Footprint:
    """Return a two-land part whose lands span `length` along x."""
    lands: list[LandBox] = [
        (number, sign * (length / 2 - 0.3), 0.0, 0.6, 0.8) for number, sign in (("1", -1), ("2", 1))
    ]
    return footprint(library_id, lands, ref=ref, fab=fab)


def two_rows(
    library_id: str,
    *,
    leads: int,
    pitch: float,
    row: float,
    land: tuple[float, float],
    ref: str = "U1",
    fab: BaseGeometry | None = None,
    kind: PadKind = "smd",
    fields: Mapping[str, str] | None = None,
) -> Footprint:
    """Return a part with rows of lands left and right, `row` from the middle to the centre of a land."""
    half = leads // 2
    lands: list[LandBox] = []
    for index in range(half):
        y = (index - (half - 1) / 2) * pitch
        lands += [(str(index + 1), -row, y, *land), (str(leads - index), row, y, *land)]
    return footprint(library_id, lands, ref=ref, fab=fab, kind=kind, fields=fields)


def quad(
    library_id: str,
    *,
    per_side: tuple[int, int],
    pitch: float,
    row: tuple[float, float],
    land: tuple[float, float],
    fab: BaseGeometry | None = None,
    exposed_mm: float | None = None,
) -> Footprint:
    """Return a part with lands on four sides: `per_side` and `row` for the sides along x, then along y."""
    length, width = land
    lands: list[LandBox] = []
    for index in range(per_side[0]):
        y = (index - (per_side[0] - 1) / 2) * pitch
        lands += [(f"l{index}", -row[0], y, length, width), (f"r{index}", row[0], y, length, width)]
    for index in range(per_side[1]):
        x = (index - (per_side[1] - 1) / 2) * pitch
        lands += [(f"t{index}", x, -row[1], width, length), (f"b{index}", x, row[1], width, length)]
    if exposed_mm is not None:
        lands.append(("EP", 0.0, 0.0, exposed_mm, exposed_mm))
    return footprint(library_id, lands, fab=fab)


def board(*footprints: Footprint) -> Board:
    """Return a bare board that carries the given footprints."""
    return Board(
        file="drawn.kicad_pcb",
        sha256="",
        format_version=20241229,
        copper_layers=("F.Cu", "B.Cu"),
        layer_titles={},
        thickness_mm=1.6,
        stackup=Stackup(layers=(), source="none"),
        outline=box(100, 100),
        outline_source="drawn",
        footprints=footprints,
        tracks=(),
        vias=(),
        zones=(),
        artwork=(),
        notes=(),
    )
