"""Stackups from the file and by default."""

import pytest

from leeward.board.sexpr import Node, parse
from leeward.board.stackup import stackup

TWO = ("F.Cu", "B.Cu")
FOUR = ("F.Cu", "In1.Cu", "In2.Cu", "B.Cu")


def root(layers: str) -> Node:
    """Return a board with the given stackup layers."""
    return parse(f"(kicad_pcb (setup (stackup {layers})))", "f")


def test_the_files_own_stackup() -> None:
    """Thickness, material and order come from the file; silk and paste are no layers of the board."""
    found = stackup(
        root("""(layer "F.SilkS" (type "Top Silk Screen")) (layer "F.Mask" (type "Top Solder Mask") (thickness 0.02))
        (layer "F.Cu" (type "copper") (thickness 0.07))
        (layer "dielectric 1" (type "core") (thickness 0.9 locked) (material "FR4")
          addsublayer (thickness 0.3) (material "Polyimide"))
        (layer "B.Cu" (type "copper") (thickness 0.035))"""),
        TWO,
        1.6,
    )
    assert [(layer.kind, layer.thickness_mm, layer.material) for layer in found.layers] == [
        ("mask", 0.02, None),
        ("copper", 0.07, None),
        ("dielectric", 0.9, "FR4"),
        ("dielectric", 0.3, "Polyimide"),
        ("copper", 0.035, None),
    ]
    assert found.source == "the file's stackup"


@pytest.mark.parametrize("copper", [("F.Cu",), TWO, FOUR, (*FOUR[:3], "In3.Cu", "In4.Cu", "B.Cu")])
@pytest.mark.parametrize("thickness", [0.4, 0.8, 1.6])
def test_the_default_fills_the_boards_thickness(copper: tuple[str, ...], thickness: float) -> None:
    """Without a stackup the layers add up to the file's thickness, outer foil 0.035 mm, and the source says default."""
    found = stackup(parse("(kicad_pcb)", "f"), copper, thickness)
    assert tuple(layer.name for layer in found.copper) == copper
    assert {layer.thickness_mm for layer in found.copper} == {0.035}
    assert sum(layer.thickness_mm for layer in found.layers) == pytest.approx(thickness)
    assert min(layer.thickness_mm for layer in found.layers) > 0
    assert found.source.startswith("default, because the file gives no stackup")


def test_a_stackup_of_another_board_is_not_used() -> None:
    """Where the stackup's copper is not the layer table's, the default stands in and says why."""
    found = stackup(root('(layer "F.Cu" (type "copper") (thickness 0.07))'), TWO, 1.6)
    assert "other copper layers" in found.source
    assert len(found.copper) == 2


def test_a_thickness_that_the_stackup_leaves_out_is_assumed_and_told() -> None:
    """Copper without thickness takes the default foil, dielectrics share the rest, and the source says so."""
    found = stackup(
        root("""(layer "F.Cu" (type "copper")) (layer "dielectric 1" (type "core") (material "FR4"))
        (layer "B.Cu" (type "copper") (thickness 0.07))"""),
        TWO,
        1.0,
    )
    assert [layer.thickness_mm for layer in found.layers] == pytest.approx([0.035, 1.0 - 0.105, 0.07])
    assert found.source == "the file's stackup, thickness assumed of F.Cu, dielectric 1"
