"""Plain boards and parts of invented shape, for tests of heat and review."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Fill, Footprint, Pad, StackLayer, Stackup, Track, Via, Zone
from leeward.heat.records import ThermalModel
from leeward.heat.spread import Spread
from leeward.known import Known
from leeward.parts.records import LeadStyle, Part, Parts

OUTER = ("F.Cu", "B.Cu")


def stackup(thickness_mm: float, *, layers: int = 2, copper_mm: float = 0.035) -> Stackup:
    """Return evenly spaced copper layers in a board of that laminate thickness."""
    names = ["F.Cu", *(f"In{i}.Cu" for i in range(1, layers - 1)), "B.Cu"]
    gap = thickness_mm / (layers - 1)
    stack: list[StackLayer] = []
    for i, name in enumerate(names):
        stack.append(StackLayer(name, "copper", copper_mm, None))
        if i < layers - 1:
            stack.append(StackLayer(f"dielectric {i + 1}", "dielectric", gap, "FR4"))
    return Stackup(tuple(stack), "invented")


def board(
    outline: BaseGeometry,
    *,
    thickness_mm: float = 1.6,
    layers: int = 2,
    copper_mm: float = 0.035,
    footprints: tuple[Footprint, ...] = (),
    zones: tuple[Zone, ...] = (),
    tracks: tuple[Track, ...] = (),
    vias: tuple[Via, ...] = (),
) -> Board:
    """Return a board of an outline with the copper given."""
    stack = stackup(thickness_mm, layers=layers, copper_mm=copper_mm)
    names = tuple(layer.name for layer in stack.copper)
    return Board(
        file="invented.kicad_pcb",
        sha256="0" * 64,
        format_version=20211014,
        copper_layers=names,
        layer_titles={},
        thickness_mm=thickness_mm,
        stackup=stack,
        outline=outline,
        outline_source="invented",
        footprints=footprints,
        tracks=tracks,
        vias=vias,
        zones=zones,
        artwork=(),
        notes=(),
    )


def pour(layer: str, shape: BaseGeometry, net: str = "GND") -> Zone:
    """Return a zone that is filled to its outline."""
    return Zone("pour", net, (layer,), shape, (Fill(layer, shape),), 1)


def land(number: str, shape: BaseGeometry, *, net: str = "", layer: str = "F.Cu") -> Pad:
    """Return a surface-mount pad."""
    centre = shape.centroid
    return Pad(
        number, "smd", "rect", centre.x, centre.y, shape, (layer,), None, None, net, "inherited",
        has_paste=True, has_mask_opening=True,
    )  # fmt: skip


def footprint(ref: str, pads: tuple[Pad, ...], body: BaseGeometry, *, bottom: bool = False) -> Footprint:
    """Return a footprint with its body as fab outline."""
    centre = body.centroid
    return Footprint(
        id=f"id-{ref}", ref=ref, value=ref, library_id=f"Invented:{ref}", line=1, side="bottom" if bottom else "top",
        x_mm=round(centre.x, 6) + 0.0, y_mm=round(centre.y, 6) + 0.0, rotation_deg=0.0, fitted=True,
        attributes=frozenset({"smd"}), description="", keywords="", fields={}, pads=pads,
        courtyard=body.buffer(0.25), fab=body, silk=None, models=(),
    )  # fmt: skip


def part(
    source: Footprint,
    body: BaseGeometry,
    *,
    style: LeadStyle = "gull-wing",
    height_mm: float = 1.6,
    limit_c: float = 260.0,
    leads: BaseGeometry | None = None,
    heat_capacity_j_k: float | None = None,
    fragile: str = "A",
    hazards: tuple[str, ...] = (),
) -> Part:
    """Return a part of a footprint; mass by 2.3 mg/mm3 and 0.95 J/gK where no heat capacity is given."""
    outline = body if leads is None else leads
    x0, y0, x1, y1 = body.bounds
    a0, b0, a1, b1 = outline.bounds
    mass = 2.3 * body.area * height_mm
    capacity = mass * 0.95e-3 if heat_capacity_j_k is None else heat_capacity_j_k
    return Part(
        footprint=source, family=Known("invented", "test", "high"), lead_style=Known(style, "test", "high"),
        body_mm=Known((x1 - x0, y1 - y0), "test", "high"), body=body, leads=outline, lead_span_mm=(a1 - a0, b1 - b0),
        pitch_mm=None, rows=4 if style in ("gull-wing", "j-lead") else 0, exposed_pad=None,
        height_mm=Known(height_mm, "test", "high"), mass_mg=Known(mass, "test", "high"), heat_capacity_j_k=capacity,
        limit_c=Known(limit_c, "test", "high"), limit_spread_c=5.0, max_ramp_c_s=3.0,
        fragile_class=fragile,  # type: ignore[arg-type]  # one of the five letters, given by the test
        hazards=hazards, outline_source=Known("fab", "test", "high"), reworkable=True, surface_mount=True,
    )  # fmt: skip


def square(x_mm: float, y_mm: float, side_mm: float) -> BaseGeometry:
    """Return a square round a point."""
    half = side_mm / 2
    return shapely.box(x_mm - half, y_mm - half, x_mm + half, y_mm + half)


def quad(ref: str, x_mm: float, y_mm: float, body_mm: float, *, pitch_mm: float = 1.0, net: str = "") -> Part:
    """Return a gull-wing quad: body, leads 1 mm out, lands 0.5 by 1.5 mm on all four sides."""
    body = square(x_mm, y_mm, body_mm)
    reach, count = body_mm / 2 + 0.75, int(body_mm / pitch_mm)
    along = [(i - (count - 1) / 2) * pitch_mm for i in range(count)]
    centres = [(-reach, a, 1.5, 0.5) for a in along] + [(a, reach, 0.5, 1.5) for a in along]
    centres += [(reach, a, 1.5, 0.5) for a in along] + [(a, -reach, 0.5, 1.5) for a in along]
    pads = tuple(
        land(str(i + 1), shapely.box(x_mm + x - w / 2, y_mm + y - h / 2, x_mm + x + w / 2, y_mm + y + h / 2), net=net)
        for i, (x, y, w, h) in enumerate(centres)
    )
    return part(footprint(ref, pads, body), body, leads=square(x_mm, y_mm, body_mm + 2.0))


def carrier(ref: str, x_mm: float, y_mm: float, body_mm: float, *, pitch_mm: float = 1.0) -> Part:
    """Return a J-lead carrier: the body of a quad, lands 0.6 by 2 mm across the body's edge on all four sides."""
    body = square(x_mm, y_mm, body_mm)
    reach, count = body_mm / 2 - 0.25, int(body_mm / pitch_mm) - 2
    along = [(i - (count - 1) / 2) * pitch_mm for i in range(count)]
    centres = [(side * reach, a, 2.0, 0.6) for side in (-1, 1) for a in along]
    centres += [(a, side * reach, 0.6, 2.0) for side in (-1, 1) for a in along]
    pads = tuple(
        land(str(i + 1), shapely.box(x_mm + x - w / 2, y_mm + y - h / 2, x_mm + x + w / 2, y_mm + y + h / 2))
        for i, (x, y, w, h) in enumerate(centres)
    )
    return part(footprint(ref, pads, body), body, style="j-lead", leads=body)


def chip(
    ref: str, x_mm: float, y_mm: float, *, bottom: bool = False, fragile: str = "A", limit_c: float = 260.0
) -> Part:
    """Return a 1.6 by 0.8 mm chip with lands at its ends."""
    layer = "B.Cu" if bottom else "F.Cu"
    body = shapely.box(x_mm - 0.8, y_mm - 0.4, x_mm + 0.8, y_mm + 0.4)
    pads = tuple(
        land(str(i + 1), shapely.box(x - 0.4, y_mm - 0.4, x + 0.4, y_mm + 0.4), layer=layer)
        for i, x in enumerate((x_mm - 0.8, x_mm + 0.8))
    )
    source = footprint(ref, pads, body, bottom=bottom)
    return part(source, body, style="end-cap", height_mm=0.8, limit_c=limit_c, fragile=fragile)


def certain(model: ThermalModel) -> Spread:
    """Return an answer without doubt, where a test does not ask about doubt."""
    joints, bodies = np.zeros(len(model.joints)), np.zeros(len(model.bodies))
    moments = np.zeros(len(model.target_joints))
    return Spread(moments, moments, moments, joints, joints, bodies, {})


def parts(*entries: Part) -> Parts:
    """Return the parts of a board by id."""
    return Parts({entry.id: entry for entry in entries}, (), "SAC305")
