"""The ladder that gives the body's outline."""

from dataclasses import replace

import pytest
import shapely
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from leeward.parts.identify import identify
from leeward.parts.records import Part
from parts.drawn import LandBox, board, box, chip, footprint, quad, two_rows

SOIC_LANDS: list[LandBox] = [
    (f"{side}{index}", side * 2.475, (index - 1.5) * 1.27, 1.95, 0.6) for side in (-1, 1) for index in range(4)
]


def soic(
    name: str = "SOP-9",  # no outline known by its name
    *,
    fab: BaseGeometry | None = None,
    courtyard: BaseGeometry | None = None,
    silk: BaseGeometry | None = None,
) -> Part:
    """Return a two-row part with the given outlines."""
    drawn = footprint(name, SOIC_LANDS, fab=fab, courtyard=courtyard, silk=silk)
    (found,) = identify(board(drawn)).by_id.values()
    return found


def test_fab_drawing_comes_first() -> None:
    """A plausible fab drawing is the body, though the name gives another size, which the source then says."""
    part = soic("SOIC-8_3.9x6.2mm_P1.27mm", fab=box(3.9, 4.9))
    assert part.body_mm.value == (3.9, 4.9)
    assert part.outline_source.value == "fab drawing"
    assert part.outline_source.confidence == "medium"
    assert "3.9x6.2 mm" in part.outline_source.source


def test_fab_drawing_larger_than_the_courtyard_is_ignored() -> None:
    """A fab drawing far outside the courtyard holds more than the body; the name is next."""
    part = soic("SOIC-8_3.9x4.9mm_P1.27mm", fab=box(30, 30), courtyard=box(7.4, 5.4))
    assert part.outline_source.value == "name"
    assert part.body_mm.value == (3.9, 4.9)


def test_fab_drawing_of_a_mark_is_ignored() -> None:
    """A fab drawing that is only a pin mark is no body."""
    assert soic("SOIC-8_3.9x4.9mm_P1.27mm", fab=box(0.5, 0.5)).outline_source.value == "name"


def test_fab_drawing_round_the_lead_tips_is_ignored() -> None:
    """A gull-wing's fab drawing that reaches the outer edge of the lands includes the leads."""
    assert soic("SOIC-8_3.9x4.9mm_P1.27mm", fab=box(6.9, 4.9)).body_mm.value == (3.9, 4.9)


def test_courtyard_less_excess() -> None:
    """Without fab and size in the name the courtyard gives the length, the lands the width between gull-wings."""
    part = soic(courtyard=box(7.4, 5.4))
    assert part.outline_source.value == "courtyard"
    assert part.body_mm.value == pytest.approx((6.9 - 2 * 1.41, 4.9))


def test_the_outline_in_the_name_is_the_body_where_its_leads_reach_the_lands() -> None:
    """SOIC-8 without a size is MS-012's 4.9 by 3.9 mm; on lands for a body twice as wide it is not."""
    part = soic("SOIC-8", courtyard=box(7.4, 5.4))
    assert (part.outline_source.value, part.body_mm.value) == ("name", (3.9, 4.9))
    wide = two_rows("SOIC-8", leads=8, pitch=1.27, row=4.65, land=(2.05, 0.6))
    (found,) = identify(board(replace(wide, courtyard=box(11.9, 5.7)))).by_id.values()
    assert found.outline_source.value == "courtyard"


@pytest.mark.parametrize(("library_id", "ref"), [("own:Holder_1x12mm_CoinCell", "BT1"), ("own:PLCC-20_Socket", "XU1")])
def test_connectors_and_sockets_are_not_of_the_size_in_their_name(library_id: str, ref: str) -> None:
    """One cell of 12 mm is no body of 1 by 12 mm, and a socket is larger than the package it takes."""
    lands: list[LandBox] = [("1", -8, 0, 2, 2), ("2", 8, 0, 2, 2), ("3", 0, 8, 2, 2), ("4", 0, -8, 2, 2)]
    (part,) = identify(board(footprint(library_id, lands, ref=ref, fab=box(15, 15)))).by_id.values()
    assert part.body_mm.value == (15, 15)
    assert part.outline_source.confidence == "high"


def test_courtyard_excess_depends_on_the_family() -> None:
    """A connector's courtyard lies 0.5 mm outside its body (KiCad library convention F5.3)."""
    lands: list[LandBox] = [("1", -2, 0, 1, 1), ("2", 0, 0, 1, 1), ("3", 2, 0, 1, 1)]
    (part,) = identify(board(footprint("own:Conn_3", lands, courtyard=box(8, 5)))).by_id.values()
    assert part.body_mm.value == pytest.approx((7, 4))


def test_lands_come_last() -> None:
    """With lands alone the body is their box less what gull-wing lands reach beyond it, and is believed little."""
    part = soic()
    assert part.outline_source.value == "lands"
    assert part.outline_source.confidence == "low"
    assert part.body_mm.value == pytest.approx((6.9 - 2 * 1.41, 3 * 1.27 + 0.6))


def test_ball_grid_from_its_lands() -> None:
    """Half a pitch more than the outer balls' lands bounds a ball grid's body."""
    lands: list[LandBox] = [
        (f"{row}{column}", row * 0.8, column * 0.8, 0.4, 0.4) for row in range(10) for column in range(10)
    ]
    (part,) = identify(board(footprint("own:BGA-100", lands))).by_id.values()
    assert part.lead_style.value == "ball-grid"
    assert part.body_mm.value == pytest.approx((8.0, 8.0))
    assert part.rows == 0


@pytest.mark.parametrize(
    ("name", "length", "body_mm"),
    [
        ("R_0603", 2.4, (1.6, 0.8)),
        ("0603", 2.4, (1.6, 0.8)),
        ("0603", 1.0, (0.6, 0.3)),  # so short that the code must be metric
        ("1005_C", 1.6, (1.0, 0.5)),
        ("SM0805", 3.0, (2.0, 1.25)),
        ("C_1210_3225Metric", 4.1, (3.2, 2.5)),
        ("LED_0805", 3.0, (2.0, 1.25)),
        ("CAPC2012X125N", 2.9, (2.0, 1.2)),
    ],
)
def test_chip_codes(name: str, length: float, body_mm: tuple[float, float]) -> None:
    """Inch, metric and IPC-7351 chip codes give the body; the lands decide where a code means two sizes."""
    (part,) = identify(board(chip(f"own:{name}", length))).by_id.values()
    assert part.body_mm.value == body_mm
    assert part.lead_style.value == "end-cap"


def test_named_outline_lies_as_its_lands() -> None:
    """A SOT-23 by name alone lies with its long side along the rows, whichever way the rows run."""
    across = footprint("own:SOT-23", [("1", -1, -0.95, 1.3, 0.6), ("2", -1, 0.95, 1.3, 0.6), ("3", 1, 0, 1.3, 0.6)])
    along = footprint("own:SOT-23", [("1", -0.95, 1, 0.6, 1.3), ("2", 0.95, 1, 0.6, 1.3), ("3", 0, -1, 0.6, 1.3)])
    sizes = [next(iter(identify(board(each)).by_id.values())).body_mm.value for each in (across, along)]
    assert sizes == [(1.6, 2.9), (2.9, 1.6)]


def test_swapped_size_in_the_name() -> None:
    """A name that gives length by width for a part that lies the other way is turned to fit the lands."""
    drawn = two_rows("own:SO-20_12.8x7.5mm", leads=20, pitch=1.27, row=4.65, land=(2.05, 0.6))
    (part,) = identify(board(drawn)).by_id.values()
    assert part.body_mm.value == (7.5, 12.8)


def test_tab_package_is_freed_of_its_pins() -> None:
    """The fab drawing of a tab package shows pins too; they are not part of the body."""
    pins = [translate(box(5, 0.8), -6.0, offset) for offset in (-2.54, 2.54)]
    drawing = shapely.union_all([box(9.0, 10.0), *pins])
    lands: list[LandBox] = [("1", -7.7, -2.54, 4.6, 1.1), ("3", -7.7, 2.54, 4.6, 1.1), ("2", 3.0, 0, 9.4, 10.8)]
    (part,) = identify(board(footprint("own:TO-263-2", lands, fab=drawing))).by_id.values()
    assert part.lead_style.value == "tab"
    assert part.body_mm.value == pytest.approx((9.0, 10.0), abs=0.05)


def test_fab_that_leaves_hidden_lands_out_is_ignored() -> None:
    """A body that hides its lands covers most of them: a module's antenna keep-out is not its body."""
    module = quad("own:ESP32-WROOM", per_side=(14, 10), pitch=1.27, row=(8.75, 9.5), land=(1.5, 0.9), fab=box(18, 6))
    (part,) = identify(board(module)).by_id.values()
    assert part.outline_source.value == "lands"
    assert part.body_mm.value[1] > 15


@pytest.mark.parametrize("name", ["Relay_DPDT_Maker_2G", "SW_Push_Maker", "Transformer_Maker"])
def test_leads_that_may_be_bent_under_the_body(name: str) -> None:
    """A relay, switch or coil drawn over its lands has its leads under it: its drawing is not taken to hold them."""
    courtyard = box(10.0, 12.0)
    drawn = two_rows(f"own:{name}", leads=8, pitch=2.2, row=2.9, land=(2.2, 0.8), fab=box(6.5, 10.0), ref="X1")
    (found,) = identify(board(replace(drawn, courtyard=courtyard))).by_id.values()
    assert found.body_mm.value == (6.5, 10.0)
    assert found.outline_source.value == "fab drawing"


def test_only_chip_carriers_are_drawn_over_their_lands() -> None:
    """The oldest PLCC drawings show the lands' extent; a relay on J-leads drawn as wide as its lands is so wide."""
    drawn = two_rows("own:Relay_JLeg", leads=8, pitch=2.2, row=2.25, land=(1.5, 0.8), fab=box(6.0, 10.0), ref="K1")
    (found,) = identify(board(drawn)).by_id.values()
    assert found.lead_style.value == "j-lead"
    assert found.body_mm.value == (6.0, 10.0)
