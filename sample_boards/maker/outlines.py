"""Footprints computed from published package outlines.

Lengths are mm, y runs down as KiCad draws it, the origin is the middle of the part. A footprint is named in the
grammar of KiCad's library, but its lands are worked out here: the outline's own dimensions plus the fillet goals
of IPC-7351B (density level B, tables 3-2 to 3-20; values from memory where no source stands beside them).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Kind = Literal["smd", "thru", "hole", "paste", "back"]
Tie = Literal["any", "inside", "dogbone"]
Box = tuple[float, float, float, float]
"""left, top, right, bottom"""

BALL_ROWS = "ABCDEFGHJKLMNPRTUVWY"
"""Row letters of a ball grid: I, O, Q, S, X and Z are left out (JEDEC JESD95, SPP-010)."""


@dataclass(frozen=True, slots=True)
class Pad:
    """One land: its middle, its size and what is drilled through it."""

    number: str
    x: float
    y: float
    width: float
    height: float
    kind: Kind = "smd"
    shape: Literal["roundrect", "rect", "circle"] = "roundrect"
    drill: float = 0.0


@dataclass(frozen=True, slots=True)
class Footprint:
    """A land pattern with the outline of the part that stands on it.

    `body` and `courtyard` are None where the drawing leaves them out. `tie` says where the via of a pad on a plane
    goes: anywhere near, under the body, or on the diagonal between four balls.
    """

    name: str
    descr: str
    tags: str
    pads: tuple[Pad, ...]
    body: Box | None
    courtyard: float | None = 0.25
    tie: Tie = "any"
    marked: bool = True
    clearance: float | None = None
    port: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Goals:
    """Solder fillet goals of one lead family: toe, heel and side, and the courtyard's excess (IPC-7351B)."""

    toe: float
    heel: float
    side: float
    courtyard: float = 0.25


GULL = Goals(0.35, 0.35, 0.03)  # table 3-2, pitch above 0.625 mm
GULL_FINE = Goals(0.35, 0.35, -0.02)  # table 3-3, pitch up to 0.625 mm
NO_LEAD = Goals(0.30, 0.0, -0.04)  # table 3-15
CHIP = Goals(0.35, -0.05, 0.0)  # table 3-5, 1608 metric and larger
CHIP_SMALL = Goals(0.20, -0.05, 0.0, 0.15)  # table 3-6, below 1608 metric
INWARD_L = Goals(0.15, 0.50, -0.05)  # table 3-10
CAN = Goals(0.5, -0.10, 0.40, 0.50)  # table 3-20, below 10 mm


def centred(width: float, height: float) -> Box:
    """Return the box of that size about the origin."""
    return (-width / 2, -height / 2, width / 2, height / 2)


def neat(value: float) -> float:
    """Round to the hundredth, as lands are drawn."""
    return round(value, 2)


def land(span: float, foot: float, width: float, goals: Goals) -> tuple[float, float, float]:
    """Return (distance of the land's middle from the axis, its length, its width) of one lead.

    `span` is tip to tip, `foot` the length that is soldered, `width` the lead's greatest width.
    """
    outer = span / 2 + goals.toe
    inner = span / 2 - foot - goals.heel
    return neat((outer + inner) / 2), neat(outer - inner), neat(width + 2 * goals.side)


def ring(per_side: int, pitch: float, lead: tuple[float, float, float], first: int = 1) -> tuple[Pad, ...]:
    """Return the pads of a quad, counter-clockwise from the top of the left side, which carries pin `first`."""
    reach, length, width = lead
    total = 4 * per_side
    places = []
    for k in range(per_side):
        along = (k - (per_side - 1) / 2) * pitch
        places += [
            (k, -reach, along, length, width),
            (per_side + k, along, reach, width, length),
            (2 * per_side + k, reach, -along, length, width),
            (3 * per_side + k, -along, -reach, width, length),
        ]
    return tuple(Pad(str((i + first - 1) % total + 1), x, y, w, h) for i, x, y, w, h in sorted(places))


def two_rows(per_side: int, pitch: float, lead: tuple[float, float, float]) -> tuple[Pad, ...]:
    """Return the pads of a two-sided package, counter-clockwise from the top left."""
    reach, length, width = lead
    rows = [(k - (per_side - 1) / 2) * pitch for k in range(per_side)]
    left = [Pad(str(k + 1), -reach, y, length, width) for k, y in enumerate(rows)]
    right = [Pad(str(per_side + k + 1), reach, -y, length, width) for k, y in enumerate(rows)]
    return tuple(left + right)


def pair(lead: tuple[float, float, float]) -> tuple[Pad, Pad]:
    """Return the two pads of a part with one terminal at each end."""
    reach, length, width = lead
    return Pad("1", -reach, 0, length, width), Pad("2", reach, 0, length, width)


def quad_flat() -> Footprint:
    """Return the 144-lead gull-wing quad (JEDEC MS-026 BFB: body 20, span 22, foot 0.6, lead up to 0.27)."""
    return Footprint(
        "Package_QFP:LQFP-144_20x20mm_P0.5mm",
        "LQFP, 144 pins, 20x20 mm body, 22 mm over the leads, 1.6 mm high, 0.5 mm pitch, JEDEC MS-026 BFB",
        "LQFP QFP gull-wing quad",
        ring(36, 0.5, land(22.0, 0.6, 0.27, GULL_FINE)),
        centred(20, 20),
        tie="inside",
    )


def j_lead_carrier() -> Footprint:
    """Return the 44-lead carrier (JEDEC MS-018 AC: body 16.59, 17.53 over the leads, lead up to 0.53).

    The lead curls under the body, so the land ends just outside the bend (0.085 mm) and runs in past the foot,
    whose middle stands between 7.5 and 8.0 mm from the axis.
    """
    outer, inner = 17.53 / 2 + 0.085, 7.25
    lead = (neat((outer + inner) / 2), neat(outer - inner), 0.60)
    return Footprint(
        "Package_LCC:PLCC-44_16.6x16.6mm_P1.27mm",
        "PLCC, 44 J-leads, 16.59 mm square body, 17.53 mm over the leads, 4.57 mm high, JEDEC MS-018 AC",
        "PLCC LCC J-lead",
        ring(11, 1.27, lead, first=7),
        centred(16.59, 16.59),
        tie="inside",
    )


def ball_grid() -> Footprint:
    """Return the 121-ball grid (JEDEC MO-195 family: 0.8 mm pitch, ball 0.45).

    The land is 0.33, a quarter less than the ball as IPC-7351B table 3-17 reduces it (from memory), so that a via of
    0.3 drill keeps 0.25 from it on the diagonal.
    """
    pads = tuple(
        Pad(f"{BALL_ROWS[row]}{column + 1}", (column - 5) * 0.8, (row - 5) * 0.8, 0.33, 0.33, shape="circle")
        for row in range(11)
        for column in range(11)
    )
    return Footprint(
        "Package_BGA:TFBGA-121_12x12mm_Layout11x11_P0.8mm_Ball0.45mm_Pad0.33mm_NSMD",
        "TFBGA, 121 balls, 12x12 mm body, 1.2 mm high, 0.8 mm pitch",
        "BGA ball grid 121",
        pads,
        centred(12, 12),
        courtyard=1.0,
        tie="dogbone",
        clearance=0.11,
    )


def thermal_lands(number: str, side: float) -> Iterator[Pad]:
    """Yield an exposed pad of that side, its nine vias, the copper on the back and four windows of paste."""
    yield Pad(number, 0, 0, side, side, shape="rect")
    yield Pad(number, 0, 0, side, side, kind="back", shape="rect")
    for x in (-1.2, 0.0, 1.2):
        for y in (-1.2, 0.0, 1.2):
            yield Pad(number, x, y, 0.6, 0.6, kind="thru", shape="circle", drill=0.3)
    for x in (-0.6, 0.6):
        for y in (-0.6, 0.6):
            yield Pad("", x, y, 0.95, 0.95, kind="paste", shape="rect")


def quad_no_lead() -> Footprint:
    """Return the 32-land no-lead quad (JEDEC MO-220 VHHD-5: body 5, terminals 0.4 by up to 0.30, pad 3.45)."""
    perimeter = ring(8, 0.5, land(5.0, 0.4, 0.30, NO_LEAD))
    return Footprint(
        "Package_DFN_QFN:QFN-32-1EP_5x5mm_P0.5mm_EP3.45x3.45mm_ThermalVias",
        "QFN, 32 pins, 5x5 mm body, 1.0 mm high, exposed pad 3.45 mm with nine vias, JEDEC MO-220",
        "QFN bottom-terminated exposed pad",
        perimeter + tuple(thermal_lands("33", 3.45)),
        centred(5, 5),
        tie="inside",
    )


def small_outline() -> Footprint:
    """Return the narrow 8-lead small outline (JEDEC MS-012 AA: body 3.9x4.9, span up to 6.2, lead up to 0.51)."""
    return Footprint(
        "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm",
        "SOIC, 8 pins, 3.9x4.9 mm body, 6.0 mm over the leads, 1.75 mm high, JEDEC MS-012 AA",
        "SOIC SO gull-wing",
        two_rows(4, 1.27, land(6.2, 0.75, 0.51, GULL)),
        centred(3.9, 4.9),
    )


def sot_23() -> Footprint:
    """Return the 3-lead transistor outline (JEDEC TO-236 AB: body 2.9x1.3, span 2.4, lead up to 0.5)."""
    reach, length, width = land(2.4, 0.45, 0.50, GULL)
    pads = (
        Pad("1", -reach, -0.95, length, width),
        Pad("2", -reach, 0.95, length, width),
        Pad("3", reach, 0, length, width),
    )
    descr = "SOT-23, 3 pins, 2.9x1.3 mm body, 1.12 mm high, JEDEC TO-236 AB"
    return Footprint("Package_TO_SOT_SMD:SOT-23", descr, "SOT-23 gull-wing", pads, centred(1.3, 2.9))


def sot_23_5() -> Footprint:
    """Return the 5-lead small outline (JEDEC MO-178 AA: body 2.9x1.6, span 2.8, lead up to 0.5)."""
    reach, length, width = land(2.8, 0.45, 0.50, GULL)
    left = [Pad(str(k + 1), -reach, (k - 1) * 0.95, length, width) for k in range(3)]
    right = [Pad("4", reach, 0.95, length, width), Pad("5", reach, -0.95, length, width)]
    descr = "SOT-23-5, 2.9x1.6 mm body, 1.45 mm high, JEDEC MO-178 AA"
    return Footprint("Package_TO_SOT_SMD:SOT-23-5", descr, "SOT-23-5 gull-wing", tuple(left + right), centred(1.6, 2.9))


CHIPS = {
    # EIA code: (metric code, length, width, terminal, tolerance), IEC 60115-8 and EIA-198, typical
    "0402": ("1005", 1.0, 0.5, 0.25, 0.05),
    "0603": ("1608", 1.6, 0.8, 0.35, 0.10),
    "1210": ("3225", 3.2, 2.5, 0.50, 0.20),
}


def chip(prefix: str, code: str) -> Footprint:
    """Return a chip with end caps: `prefix` is R, C, L or LED, `code` the EIA size."""
    metric, length, width, terminal, tolerance = CHIPS[code]
    goals = CHIP_SMALL if code == "0402" else CHIP
    library = {"R": "Resistor_SMD", "C": "Capacitor_SMD", "L": "Inductor_SMD", "LED": "LED_SMD"}[prefix]
    return Footprint(
        f"{library}:{prefix}_{code}_{metric}Metric",
        f"chip {code} ({metric} metric), {length}x{width} mm",
        f"chip {code}",
        pair(land(length + tolerance, terminal, width + tolerance, goals)),
        centred(length, width),
        courtyard=goals.courtyard,
        marked=prefix == "LED",
    )


def tantalum() -> Footprint:
    """Return the B case moulded tantalum (EIA 3528-21: 3.5x2.8x2.1, terminals 0.8 by up to 2.4)."""
    return Footprint(
        "Capacitor_Tantalum_SMD:CP_EIA-3528-21",
        "tantalum capacitor, moulded, EIA 3528-21, 3.5x2.8x2.1 mm",
        "tantalum EIA 3528 B",
        pair(land(3.5, 0.8, 2.4, INWARD_L)),
        centred(3.5, 2.8),
    )


def aluminium_can() -> Footprint:
    """Return the 8 by 10 mm can on its base (base 8.3, about 9 over the leads, 2.9 by 0.9; typical)."""
    return Footprint(
        "Capacitor_SMD:CP_Elec_8x10",
        "aluminium electrolytic can, 8 mm diameter, 10 mm high, on a moulded base",
        "electrolytic can",
        pair(land(9.0, 2.9, 0.9, CAN)),
        centred(8.3, 8.3),
        courtyard=CAN.courtyard,
    )


def crystal() -> Footprint:
    """Return the ceramic crystal 3.2x2.5, four lands at the corners (1.2x1.0 terminals, typical)."""
    corners = ((-1.1, 0.85), (1.1, 0.85), (1.1, -0.85), (-1.1, -0.85))
    pads = tuple(Pad(str(k + 1), x, y, 1.4, 1.15) for k, (x, y) in enumerate(corners))
    descr = "quartz crystal, ceramic body with metal lid, 3.2x2.5x0.8 mm, four terminals"
    return Footprint("Crystal:Crystal_SMD_3225-4Pin_3.2x2.5mm", descr, "crystal", pads, centred(3.2, 2.5))


def inductor(size: float, height: float) -> Footprint:
    """Return a shielded power inductor on a square base, terminals at two sides (typical)."""
    terminal = size / 4
    return Footprint(
        f"Inductor_SMD:L_{size:.1f}x{size:.1f}mm_H{height:.1f}mm",
        f"shielded power inductor, {size:.1f}x{size:.1f}x{height:.1f} mm",
        "inductor shielded",
        pair((neat(size / 2 - terminal / 2 + 0.1), neat(terminal + 0.3), neat(size * 0.9))),
        centred(size, size),
        marked=False,
    )


def pressure_sensor() -> Footprint:
    """Return the pressure sensor, 3x5 mm with eight lands and a port in the lid (invented, after JEDEC MO-300 LGA)."""
    pads = two_rows(4, 1.25, (1.15, 0.8, 0.7))
    return Footprint(
        "Sensor_Pressure:LGA-8_3x5mm_P1.25mm_TopPort",
        "MEMS pressure sensor, LGA, 3x5x1.1 mm, open port in the lid",
        "pressure sensor MEMS port",
        pads,
        centred(3, 5),
        courtyard=0.5,
        port=(0.0, 1.2, 0.5),
    )


def coin_cell_holder() -> Footprint:
    """Return the holder of a 12.5 mm cell: two tabs for the spring, a round contact below (typical)."""
    pads = (
        Pad("1", -8.4, 0, 2.6, 4.0),
        Pad("1", 8.4, 0, 2.6, 4.0),
        Pad("2", 0, 0, 4.0, 4.0, shape="circle"),
    )
    return Footprint(
        "Battery:BatteryHolder_CR1220_SMD_1x",
        "coin-cell holder for one CR1220, surface mount, 4.0 mm high with the cell",
        "battery holder coin cell CR1220",
        pads,
        centred(15.8, 13.0),
        courtyard=0.5,
    )


def flat_flex() -> Footprint:
    """Return a 16-way 1.0 mm flat-flex connector lying on the edge, two anchor lands (typical)."""
    contacts = [Pad(str(k + 1), -7.5 + k, 2.6, 0.6, 1.6) for k in range(16)]
    anchors = [Pad("MP", x, -0.3, 1.8, 2.6) for x in (-9.9, 9.9)]
    return Footprint(
        "Connector_FFC-FPC:FFC_1x16-1MP_P1.0mm_Horizontal",
        "flat-flex connector, 16 ways, 1.0 mm pitch, right angle, 2.5 mm high",
        "connector FFC flat flex display",
        tuple(contacts + anchors),
        (-10.4, -2.4, 10.4, 2.4),
        courtyard=0.5,
    )


def header_fine() -> Footprint:
    """Return a 2x5 pin header, 1.27 mm pitch, standing, surface mount (typical)."""
    pads = []
    for k in range(5):
        x = (k - 2) * 1.27
        pads += [Pad(str(2 * k + 1), x, 1.95, 0.75, 2.4), Pad(str(2 * k + 2), x, -1.95, 0.75, 2.4)]
    return Footprint(
        "Connector_PinHeader_1.27mm:PinHeader_2x05_P1.27mm_Vertical_SMD",
        "pin header, 2x5 ways, 1.27 mm pitch, standing, surface mount, 5.1 mm high",
        "connector header 1.27",
        tuple(pads),
        centred(6.35, 3.4),
        courtyard=0.5,
    )


def terminal_block() -> Footprint:
    """Return a 4-way screw terminal, 3.5 mm pitch, through the board (typical)."""
    pads = tuple(
        Pad(str(k + 1), 0, (k - 1.5) * 3.5, 2.2, 2.2, kind="thru", shape="rect" if k == 0 else "circle", drill=1.2)
        for k in range(4)
    )
    return Footprint(
        "TerminalBlock:TerminalBlock_1x04_P3.50mm_Vertical",
        "screw terminal, 4 ways, 3.5 mm pitch, 8.5 mm high, through-hole",
        "terminal block screw",
        pads,
        (-3.9, -7.2, 3.5, 7.2),
        courtyard=0.5,
    )


def micro_usb() -> Footprint:
    """Return a micro-B receptacle on the board's edge (USB micro-USB cable and connector spec: 0.65 mm pitch)."""
    contacts = [Pad(str(k + 1), (k - 2) * 0.65, -2.7, 0.40, 1.4) for k in range(5)]
    shell = [
        Pad("6", x, y, w, 1.9) for x, y, w in ((-3.1, -2.4, 2.1), (3.1, -2.4, 2.1), (-3.6, 0.2, 1.8), (3.6, 0.2, 1.8))
    ]
    return Footprint(
        "Connector_USB:USB_Micro-B_Horizontal_SMD",
        "USB micro-B receptacle, right angle, surface mount, 2.6 mm high",
        "connector USB micro-B",
        tuple(contacts + shell),
        (-3.75, -2.2, 3.75, 2.9),
        courtyard=0.5,
    )


def coaxial() -> Footprint:
    """Return a miniature coaxial jack drawn without courtyard or fab outline, as old drawings are."""
    pads = (Pad("1", 1.5, 0, 1.0, 1.0), Pad("2", 0, -1.5, 2.2, 1.0), Pad("2", 0, 1.5, 2.2, 1.0))
    return Footprint("shed:AERIAL_JACK", "miniature aerial jack", "aerial", pads, None, courtyard=None, marked=False)


def push_button() -> Footprint:
    """Return a 6 mm push button drawn without courtyard or fab outline, as old drawings are."""
    corners = (("1", -4.2, -2.25), ("1", 4.2, -2.25), ("2", -4.2, 2.25), ("2", 4.2, 2.25))
    pads = tuple(Pad(number, x, y, 1.5, 1.2) for number, x, y in corners)
    return Footprint("shed:BUTTON_6MM", "push button", "button", pads, None, courtyard=None, marked=False)


def test_point() -> Footprint:
    """Return a round test land."""
    pads = (Pad("1", 0, 0, 1.2, 1.2, shape="circle"),)
    name = "TestPoint:TestPoint_Pad_D1.2mm"
    return Footprint(name, "test land, 1.2 mm", "test point", pads, None, marked=False)


def fiducial() -> Footprint:
    """Return a fiducial of 1 mm bare copper."""
    pads = (Pad("", 0, 0, 1.0, 1.0, shape="circle"),)
    name = "Fiducial:Fiducial_1mm_Mask2mm"
    return Footprint(
        name, "fiducial, 1 mm copper in 2 mm of bare board", "fiducial", pads, None, 0.6, marked=False, clearance=0.6
    )


def mounting_hole() -> Footprint:
    """Return a bare hole for an M2.5 screw (ISO 273, medium fit would be 2.9; 2.7 is the fine fit)."""
    pads = (Pad("", 0, 0, 2.7, 2.7, kind="hole", shape="circle", drill=2.7),)
    name = "MountingHole:MountingHole_2.7mm_M2.5"
    return Footprint(
        name, "mounting hole for M2.5, no copper", "mounting hole", pads, None, courtyard=1.3, marked=False
    )
