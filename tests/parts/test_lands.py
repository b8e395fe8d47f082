"""What lands say by themselves."""

from dataclasses import replace

import pytest

from leeward.parts.lands import lands, lead_style_by_lands
from parts.drawn import LandBox, chip, footprint, pad, quad, two_rows

DFN = [
    *two_rows("DFN-8", leads=8, pitch=0.5, row=1.45, land=(0.8, 0.25)).pads,
    *(pad("9", x, y, 0.7, 1.1) for x in (-0.4, 0.4) for y in (-0.6, 0.6)),
]


def test_exposed_pad_in_pieces_with_vias() -> None:
    """An exposed pad drawn in four pieces with thermal vias is one pad; rows and mounting are the terminals'."""
    vias = [pad("9", 0, 0, 0.5, 0.5, "through-hole") for _ in range(12)]
    read = lands(replace(footprint("DFN-8", []), pads=(*DFN, *vias)))
    assert read.exposed_pad == "9"
    assert read.mount == "smd"
    assert (read.count, read.rows, read.axes, read.pitch_mm) == (8, 2, (True, False), 0.5)


def test_tab_is_no_exposed_pad() -> None:
    """A large land at one end, with terminals only on the other side, is a tab."""
    tab: list[LandBox] = [(str(n), -7.7, (n - 3) * 1.7, 4.6, 1.1) for n in range(1, 6)]
    read = lands(footprint("TO-263-5", [*tab, ("6", 3.0, 0, 9.4, 10.8)]))
    assert read.exposed_pad is None
    assert read.rows == 2


def test_lands_of_the_other_side_do_not_count() -> None:
    """Copper under the board that spreads heat is no terminal of a part on top."""
    below = replace(pad("9", 0, 0, 6, 6), layers=("B.Cu",))
    read = lands(replace(footprint("DFN-8", []), pads=(*DFN, below)))
    assert read.box == pytest.approx((-1.85, -1.15, 1.85, 1.15))


def test_unplated_holes_are_no_lands() -> None:
    """A footprint with nothing but unplated holes has no lands."""
    read = lands(footprint("Hole", [("", 0, 0, 3, 3)], kind="unplated"))
    assert read.box is None
    assert read.count == 0


def test_shell_pins_do_not_make_a_surface_mount_connector_leaded() -> None:
    """A connector with more surface lands than drilled shell tabs is surface mounted."""
    tails = [pad(f"A{n}", n * 0.5, 0, 0.3, 1.0) for n in range(12)]
    shell = [pad("S1", x, 3, 1, 2, "through-hole") for x in (-4, 4)]
    assert lands(replace(footprint("USB_C", []), pads=(*tails, *shell))).mount == "smd"


def test_via_in_the_only_land() -> None:
    """A drilled via of the land's own number leaves a one-land part surface mounted."""
    both = (pad("1", 0, 0, 3, 3), pad("1", 0, 0, 0.5, 0.5, "through-hole"))
    assert lands(replace(footprint("own:x", []), pads=both)).mount == "smd"


@pytest.mark.parametrize(
    ("row", "length", "style"),
    [
        (4.65, 2.05, "gull-wing"),  # SOIC: lands centred well outside the body
        (3.4, 1.7, "j-lead"),  # SOJ: long lands, mostly under the body
        (3.7, 0.8, "bottom-terminated"),  # short lands at the body's edge
    ],
)
def test_lead_style_from_lands(row: float, length: float, style: str) -> None:
    """Where lands lie against a body of 7.5 mm tells gull-wing, J-lead and leadless apart."""
    read = lands(two_rows("own:x", leads=20, pitch=1.27, row=row, land=(length, 0.6)))
    assert lead_style_by_lands(read, (-3.75, -6.4, 3.75, 6.4)) == style


def test_fine_pitch_is_never_a_j_lead() -> None:
    """J-leads come at 1.27 mm; long lands under a body at fine pitch are something else."""
    read = lands(two_rows("own:x", leads=20, pitch=0.5, row=3.4, land=(1.7, 0.3)))
    assert lead_style_by_lands(read, (-3.75, -3.0, 3.75, 3.0)) is None


def test_grid_under_the_body() -> None:
    """A grid of lands under the body is a ball grid; beyond the body it tells nothing."""
    grid: list[LandBox] = [(f"{x}{y}", x * 0.8, y * 0.8, 0.4, 0.4) for x in range(6) for y in range(6)]
    read = lands(footprint("own:x", grid))
    assert lead_style_by_lands(read, (-0.5, -0.5, 4.5, 4.5)) == "ball-grid"
    assert lead_style_by_lands(read, (0.5, 0.5, 3.5, 3.5)) is None


def test_two_lands_hold_a_chip_or_tell_nothing() -> None:
    """Two lands have no pitch; as wide as the body they hold it by its end caps, narrower ones could be anything."""
    read = lands(chip("own:x", 2.4))
    assert read.pitch_mm is None
    assert lead_style_by_lands(read, (-0.8, -0.4, 0.8, 0.4)) == "end-cap"
    assert lead_style_by_lands(read, (-0.8, -0.6, 0.8, 0.6)) is None
    assert lead_style_by_lands(read, (-0.5, -0.4, 0.5, 0.4)) is None  # the lands begin outside it


def test_three_lands_tell_gull_wings_only() -> None:
    """The three lands of a small transistor lie outside its body; under it they tell nothing."""
    lands_of_three: list[LandBox] = [("1", -1, -0.95, 1.3, 0.6), ("2", -1, 0.95, 1.3, 0.6), ("3", 1, 0, 1.3, 0.6)]
    read = lands(footprint("own:x", lands_of_three))
    assert lead_style_by_lands(read, (-0.65, -1.45, 0.65, 1.45)) == "gull-wing"
    assert lead_style_by_lands(read, (-1.5, -1.45, 1.5, 1.45)) is None


def test_a_few_balls_in_rows() -> None:
    """Four square lands of one size under the body are balls; round an exposed pad they are a leadless package."""
    four: list[LandBox] = [(f"{x}{y}", x * 0.25, y * 0.25, 0.2, 0.2) for x in (-1, 1) for y in (-1, 1)]
    assert lead_style_by_lands(lands(footprint("own:x", four)), (-0.4, -0.4, 0.4, 0.4)) == "ball-grid"
    wide: list[LandBox] = [(number, 8 * x, 8 * y, 0.4, 0.4) for number, x, y, _, _ in four]
    pads = [*wide, ("EP", 0, 0, 2.4, 2.4)]
    assert lead_style_by_lands(lands(footprint("own:x", pads)), (-2.2, -2.2, 2.2, 2.2)) != "ball-grid"


def test_stout_lands_are_no_j_leads() -> None:
    """The four lands of a crystal reach as far under it as those of J-leads, but are nearly as wide as long."""
    stout: list[LandBox] = [(f"{x}{y}", x * 1.1, y * 0.85, 1.4, 1.2) for x in (-1, 1) for y in (-1, 1)]
    assert lead_style_by_lands(lands(footprint("own:x", stout)), (-1.6, -1.25, 1.6, 1.25)) is None


def test_rows_of_an_oblong_quad() -> None:
    """A quad with different counts on its sides has four rows."""
    read = lands(quad("own:x", per_side=(9, 7), pitch=1.27, row=(5.2, 6.5), land=(1.5, 0.6)))
    assert (read.rows, read.pitch_mm) == (4, 1.27)
