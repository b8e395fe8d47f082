"""How tall a part stands, by the first rung that holds."""

import re

import pytest

from leeward.constants import table
from leeward.known import Known
from leeward.parts.height import height_in_fields
from leeward.parts.identify import identify
from leeward.parts.models import ModelTops
from leeward.parts.names import height_in_name
from parts.drawn import board, box, chip, two_rows


@pytest.mark.parametrize(
    ("name", "height_mm"),
    [
        ("SSOP-8_3.95x5.21x3.27mm_P1.27mm", 3.27),
        ("L_12x12mm_H6mm", 6.0),
        ("CP_Elec_6.3x5.8", 5.8),
        ("CP_EIA-3528-21_Kemet-B", 2.1),
        ("CP_EIA-7361-438_AVX-U", 4.38),
        ("SOP80P1176X120-54N", 1.2),
        ("QFP50P1600X1600X160-100N", 1.6),
        ("CAPC2012X125N", 1.25),
        ("D_DO-35_SOD27_P7.62mm_Horizontal", 2.5),  # DO-204AH 2.0 mm thick, from memory, lying 0.5 mm high
        ("D_DO-35_SOD27_P2.54mm_Vertical_AnodeUp", 6.0),
        ("D_5W_P12.70mm_Horizontal", 4.2),
        ("D_5W_P5.08mm_Vertical_AnodeUp", 12.0),
        ("CP_Axial_L10.0mm_D4.5mm_P15.00mm_Horizontal", 4.5),
        ("VQFN-24-1EP_4x4mm_P0.5mm", 1.0),  # JEITA ED-7303C: V up to 1.00 mm
        ("UFQFPN-48_7x7mm", 0.65),  # U up to 0.65 mm
        ("LFBGA-144_10x10mm", 1.7),  # L up to 1.70 mm
        ("LQFP-100_14x14mm_P0.5mm", 1.6),  # MS-026 variant B, from memory
        ("TQFP-144_20x20mm_P0.5mm", 1.2),  # MS-026 variant A, from memory
        ("TSSOP-20_4.4x6.5mm_P0.65mm", 1.2),  # MO-153, from memory
        ("MSOP-8_3x3mm_P0.65mm", 1.1),  # MO-187, from memory
        ("SOIC-16W_7.5x10.3mm_P1.27mm", 2.65),  # MS-013, from memory
        ("PLCC-32_11.4x14.0mm_P1.27mm", 3.55),  # MS-016, from memory
        ("QFN-48-1EP_7x7mm_P0.5mm_EP5.2x5.2mm", None),
        ("PinHeader_1x02", None),
        ("SOT-23-6", 1.45),  # MO-178, from memory
        ("TSOT-23-6", 1.0),  # MO-193, from memory
        ("SSOP-8_2.95x2.8mm_P0.65mm", 1.3),  # MO-187, from memory
        ("Crystal_HC33-U_Horizontal", 9.2),  # the can's 8.9 mm, from memory
        ("Crystal_HC49-U_Horizontal", 4.7),
        ("TO-251-2_Horizontal_TabDown", 2.4),  # as thick as TO-252, from memory
        ("USB_A_Wuerth_61400826021_Horizontal_Stacked", 15.6),
        ("SSOP-16_3.9x4.9mm_P0.635mm", 1.75),  # MO-137, from memory
        ("SSOP-16_5.3x6.2mm_P0.65mm", 2.0),  # MO-150, from memory
        ("Resonator-3Pin_W6.0mm_H3.0mm", 9.5),  # width and height of its face in plan
        ("Switch_W6.0mm_H3.0mm", None),
        ("R_Axial_DIN0204_L3.6mm_D1.6mm_P2.54mm_Vertical", pytest.approx(3.6 + 3.1)),
        ("R_Axial_DIN0204_L3.6mm_D1.6mm_P7.62mm_Horizontal", 1.6),
        ("R_Axial_Power_L20.0mm_W6.4mm_P22.40mm", 6.4),
        ("R_Axial_Power_L20.0mm_W6.4mm_P7.62mm_Vertical", pytest.approx(20.0 + 3.6)),
        ("C_Disc_D5.1mm_W3.2mm_P5.00mm", 5.1),
        ("CP_Radial_Tantal_D6.0mm_P2.50mm", pytest.approx(9.6)),
        ("CP_Radial_D6.3mm_P2.50mm", None),
        ("LED_D5.0mm_Horizontal_O1.27mm_Z3.0mm", pytest.approx(3.0 + 5.8 / 2)),  # flange of 5.8 mm
        ("LED_Rectangular_W5.0mm_H2.0mm_Horizontal_O1.27mm_Z3.0mm", pytest.approx(4.0)),
        ("Crystal_AT310_D3.0mm_L10.0mm_Horizontal", 3.0),
        ("Crystal_AT310_D3.0mm_L10.0mm_Vertical", 11.4),
        ("OnSemi_Micro8", 1.1),  # MO-187, from memory
        ("Own_Micro83", None),
        ("VSO-56_11.1x21.5mm_P0.75mm", 3.3),  # its makers, from memory
        ("TO-126-3_Vertical", 14.0),  # TO-225AA, from memory
        ("TO-220-3_Vertical", 19.3),
        ("TO-220-5_Vertical", 20.9),
        ("L_Radial_D28.0mm_P29.20mm", pytest.approx(28.1)),
        ("L_Toroid_Vertical_L16.0mm_W8.0mm_P7.62mm", 16.0),
        ("Mounting_WA-SMSI-M3_H5mm", 5.0),
        ("Mounting_WA-SMSE-ExternalM3_H5mm", 5.0 + 6.0),  # the thread stands over it
    ],
)
def test_heights_in_names(name: str, height_mm: float | None) -> None:
    """Sizes, letters and outlines in a name give the seated height; names without one give none."""
    found = height_in_name(name)
    assert (None if found is None else found.height_mm.value) == height_mm


@pytest.mark.parametrize(
    ("fields", "height_mm"),
    [
        ({"Height": "1.75"}, 1.75),
        ({"height": "1,2 mm"}, 1.2),
        ({"H": "100 mil"}, 2.54),
        ({"Height": "0.1in"}, 2.54),
        ({"Height": "tall"}, None),
        ({"Height": "0"}, None),
        ({"Height": "9000 mm"}, None),
        ({"Value": "4.7"}, None),
    ],
)
def test_heights_in_fields(fields: dict[str, str], height_mm: float | None) -> None:
    """A field called height is read with its unit; anything that is no height is passed over."""
    found = height_in_fields(fields)
    assert (None if found is None else pytest.approx(found.value)) == height_mm


@pytest.mark.parametrize(("model_mm", "height_mm"), [(10.0, 16.0), (12.5, 12.5)])
def test_a_model_as_tall_as_wide_is_no_measure_of_a_can(model_mm: float, height_mm: float) -> None:
    """A radial can of 10 mm whose model is a stand-in 10 mm tall is as tall as such cans are; another model counts."""
    drawn = two_rows(
        "own:CP_Radial_D10.0mm_P5.00mm",
        leads=2,
        pitch=0,
        row=2.5,
        land=(2, 2),
        fab=box(10, 10),
        kind="through-hole",
        ref="C1",
    )
    tops = ModelTops({drawn.id: Known(model_mm, "3D model", "high")})
    (part,) = identify(board(drawn), models=tops).by_id.values()
    assert part.height_mm.value == height_mm


@pytest.mark.parametrize(("ref", "height_mm"), [("R7", 0.47), ("C7", 0.8)])
def test_the_model_of_another_kind_of_chip_is_not_its_own(ref: str, height_mm: float) -> None:
    """The model on a resistor's footprint is a resistor's: a capacitor on those lands is as tall as capacitors are."""
    drawn = chip("Resistor_SMD:R_0603_1608Metric", 2.4, ref=ref, fab=box(1.6, 0.8))
    tops = ModelTops({drawn.id: Known(0.47, "3D model R_0603_1608Metric.wrl", "high")})
    (part,) = identify(board(drawn), models=tops).by_id.values()
    assert part.height_mm.value == height_mm


def test_every_named_height_says_where_it_comes_from() -> None:
    """Each row carries a source and confidence of its own, and only JEDEC's outlines cite JEDEC's numbers."""
    rows = [*table("heights")["named_heights"]["heights"], *table("heights")["heights_by_size"]["rows"]]
    assert len(rows) > 50
    for row in rows:
        assert row["confidence"] in ("high", "medium", "low"), row
        cites = re.search(r"\b(MO|MS|TO)-\d{2,3}", row["source"])
        connector = re.search("pin_|jst|molex|mstb|idc|dsub|slim|pico|mkds|phoenix", row["name"])
        assert row["source"], row
        assert not (cites and connector), row


def test_a_body_on_leads_is_taller_than_its_thickness() -> None:
    """A size in the name gives a leaded body's thickness alone, so the height is believed little."""
    drawn = two_rows("own:TO-92_5x4x9mm", leads=4, pitch=2.54, row=2, land=(1, 1), kind="through-hole", ref="Q1")
    (part,) = identify(board(drawn)).by_id.values()
    assert (part.height_mm.value, part.height_mm.confidence) == (9.0, "low")


@pytest.mark.parametrize(
    ("name", "fields", "height_mm", "source"),
    [
        ("SOIC-8_3.9x4.9x1.5mm", {"Height": "1.4"}, 1.4, "field"),
        ("SOIC-8_3.9x4.9x1.5mm", {}, 1.5, "name"),
        ("SOIC-8_3.9x4.9mm", {}, 1.75, "MS-012"),
    ],
)
def test_field_then_name_then_family(name: str, fields: dict[str, str], height_mm: float, source: str) -> None:
    """A field of the footprint beats its name, the name beats the family."""
    drawn = two_rows(name, leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9), fields=fields)
    (part,) = identify(board(drawn)).by_id.values()
    assert part.height_mm.value == height_mm
    assert source in part.height_mm.source


def test_a_socket_is_not_as_tall_as_its_package() -> None:
    """The outline in a socket's name is that of the package it takes, and tells nothing of the socket's height."""
    drawn = two_rows(
        "Package_LCC:PLCC-32_SMD-Socket", leads=8, pitch=1.27, row=5, land=(2, 0.6), fab=box(18, 20), ref="U1"
    )
    (part,) = identify(board(drawn)).by_id.values()
    assert part.lead_style.value == "socket"
    assert (part.height_mm.value, part.height_mm.confidence) == (8.5, "low")
