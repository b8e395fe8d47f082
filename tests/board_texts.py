"""Small boards as text, made up for the tests."""

LAYERS = """(layers (0 "F.Cu" signal) (31 "B.Cu" signal) (44 "Edge.Cuts" user) (47 "F.CrtYd" user) (49 "F.Fab" user))"""
LAYERS_10 = """(layers (0 "F.Cu" signal) (4 "In1.Cu" power) (6 "In2.Cu" power "Ground") (2 "B.Cu" signal))"""
LAYERS_5 = """(layers (0 Top signal) (1 Inner power) (31 Bottom signal) (44 Edge.Cuts user))"""
EDGE = """(gr_rect (start 0 0) (end 30 20) (layer "Edge.Cuts") (width 0.1))"""


def board_text(body: str = EDGE, *, version: int = 20211014, layers: str = LAYERS) -> str:
    """Return a whole board file around `body`."""
    return f"(kicad_pcb (version {version}) (generator hand)\n(general (thickness 1.6))\n{layers}\n{body}\n)\n"


def part_text(
    inside: str = "", *, at: str = "10 5", layer: str = "F.Cu", ref: str = "R1", head: str = "footprint"
) -> str:
    """Return a part with the given inside."""
    return f"""(footprint "Made:Up" (layer "{layer}") (at {at}) (fp_text reference "{ref}" (at 0 0)) {inside})"""
