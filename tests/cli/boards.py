"""A small invented board file for the command line: a lamp driver with a transistor, a resistor and a bare hole."""

from pathlib import Path

PAD = (
    '(pad "{number}" smd rect (at {x} {y}) (size {width} {height}) '
    '(layers "F.Cu" "F.Paste" "F.Mask") (net {net} "{name}"))'
)
TEXT = '(property "{key}" "{text}" (at 0 0 0) (layer "F.Fab"))'
HEAD = """(kicad_pcb (version 20240108) (generator "pcbnew") (generator_version "8.0")
  (general (thickness 1.6))
  (layers (0 "F.Cu" signal) (31 "B.Cu" signal) (38 "B.Mask" user) (39 "F.Mask" user)
    (44 "Edge.Cuts" user) (47 "F.CrtYd" user) (49 "F.Fab" user))
  (net 0 "") (net 1 "GND") (net 2 "LAMP") (net 3 "GATE")
  (gr_rect (start 100 100) (end 130 120) (stroke (width 0.1) (type solid)) (fill none) (layer "Edge.Cuts"))
  (segment (start 114 109.05) (end 105 109.05) (width 0.5) (layer "F.Cu") (net 2))
"""
UNFILLED = """  (zone (net 1) (net_name "GND") (layer "B.Cu") (hatch edge 0.5) (connect_pads (clearance 0.3))
    (min_thickness 0.25) (filled_areas_thickness no) (fill (thermal_gap 0.5) (thermal_bridge_width 0.5))
    (polygon (pts (xy 101 101) (xy 129 101) (xy 129 119) (xy 101 119))))
"""


def footprint(library_id: str, ref: str, value: str, x_mm: float, pads: str) -> str:
    """Return a footprint at a place on the line y = 110."""
    texts = TEXT.format(key="Reference", text=ref) + TEXT.format(key="Value", text=value)
    name = f"00000000-0000-4000-8000-{number_of(ref):012d}"
    return f'  (footprint "{library_id}" (layer "F.Cu") (uuid "{name}") (at {x_mm} 110) {texts} (attr smd) {pads})\n'


def number_of(ref: str) -> int:
    """Return a number that tells references apart."""
    total: int = sum(ord(sign) * 1000**place for place, sign in enumerate(ref))
    return total % 10**12


def transistor(ref: str = "Q1", x_mm: float = 115.0) -> str:
    """Return a three-lead transistor."""
    places = (("1", -0.9375, -0.95, 3, "GATE"), ("2", -0.9375, 0.95, 1, "GND"), ("3", 0.9375, 0, 2, "LAMP"))
    pads = " ".join(
        PAD.format(number=n, x=x, y=y, width=1.475, height=0.6, net=net, name=name) for n, x, y, net, name in places
    )
    return footprint("Package_TO_SOT_SMD:SOT-23", ref, "lamp switch", x_mm, pads)


def resistor(ref: str = "R1", x_mm: float = 119.0) -> str:
    """Return a 0603 resistor."""
    places = (("1", -0.825, 3, "GATE"), ("2", 0.825, 1, "GND"))
    pads = " ".join(
        PAD.format(number=n, x=x, y=0, width=0.8, height=0.95, net=net, name=name) for n, x, net, name in places
    )
    return footprint("Resistor_SMD:R_0603_1608Metric", ref, "10k", x_mm, pads)


def write_board(folder: Path, *parts: str, extra: str = "", name: str = "lamp.kicad_pcb") -> str:
    """Write a board of parts to a folder and return its path."""
    path = folder / name
    path.write_text(HEAD + extra + "".join(parts) + ")\n", encoding="utf-8")
    return str(path)
