"""Which planes draw heat off a joint."""

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Pad, Track, Via, Zone
from leeward.review.anchors import anchors
from leeward.review.ties import Ties, ties
from thermal_boards import board, land, pour, square

OUTLINE = square(0, 0, 40)
LAND = land("1", square(0, 0, 1.0), net="GND")
VIA = Via(0.9, 0, 0.6, 0.3, ("F.Cu", "B.Cu"), "GND")
TRACE = Track("F.Cu", "GND", 0.3, ((0, 0), (0.9, 0)))


def tied(plain: Board, pad: Pad = LAND) -> Ties:
    """Return the ties of one pad on the top."""
    return ties(plain, [pad], anchors(plain, [pad], "top"), "top")[0]


def four_layers(zones: Sequence[Zone] = (), vias: Sequence[Via] = (VIA,)) -> Board:
    """Return a board with a trace from the land to where the via is."""
    return board(OUTLINE, layers=4, zones=tuple(zones), vias=tuple(vias), tracks=(TRACE,))


def solid(layer: str, shape: BaseGeometry) -> Zone:
    """Return a pour of GND that meets lands without spokes."""
    zone = pour(layer, shape)
    return replace(zone, pouring=replace(zone.pouring, connection="solid"))


def test_a_via_near_the_land_reaches_planes() -> None:
    """A joined via ties the joint to every plane of its net that it passes through, on the layers in order."""
    plain = four_layers([pour("B.Cu", OUTLINE), pour("In1.Cu", OUTLINE), pour("In2.Cu", OUTLINE, net="3V3")])
    found = tied(plain)
    assert (found.vias, found.vias_on, found.layers) == (1, ("In1.Cu", "B.Cu"), 2)
    assert found.words == "tied to planes of GND, through 1 via on In1.Cu, B.Cu"


def test_a_plane_that_the_via_is_cut_out_of_is_no_tie() -> None:
    """A plane with a hole round the via, or one smaller than 100 mm2, draws nothing."""
    hole = OUTLINE.difference(shapely.Point(0.9, 0).buffer(1.0))
    assert tied(four_layers([pour("In1.Cu", hole)])).layers == 0
    assert tied(four_layers([pour("In1.Cu", square(0, 0, 5))])).layers == 0


def test_a_plane_beyond_a_blind_via_is_no_tie() -> None:
    """A via from the top to the first inner layer does not reach the bottom."""
    blind = replace(VIA, layers=("F.Cu", "In1.Cu"))
    assert tied(four_layers([pour("In1.Cu", OUTLINE), pour("B.Cu", OUTLINE)], [blind])).vias_on == ("In1.Cu",)


def test_the_lands_own_plane_is_solid_or_by_spokes() -> None:
    """As the zone is set to meet lands; it counts without any via."""
    assert tied(four_layers([solid("F.Cu", OUTLINE)], [])).words == "tied to planes of GND, solid on F.Cu"
    assert tied(four_layers([pour("F.Cu", OUTLINE)], [])).words == "tied to planes of GND, by spokes on F.Cu"


def test_a_plated_hole_meets_planes_on_every_layer() -> None:
    """A through-hole joint is tied where its land on a layer meets a plane."""
    hole = replace(
        LAND, kind="through-hole", layers=("F.Cu", "In1.Cu", "In2.Cu", "B.Cu"), drill_mm=0.6, hole=square(0, 0, 0.6)
    )
    found = tied(four_layers([solid("In1.Cu", OUTLINE), pour("B.Cu", OUTLINE)], []), hole)
    assert (found.solid_on, found.spokes_on) == (("In1.Cu",), ("B.Cu",))


def test_a_joint_without_planes_has_no_words() -> None:
    """Nothing is said of a joint that no plane draws on."""
    assert tied(four_layers()).words == ""
