"""What is wrong with a board as a whole."""

from dataclasses import replace

import pytest

from leeward.known import Known
from leeward.parts.records import LeadStyle, Part
from leeward.survey.board_wide import fragile_parts, grids_back_to_back, heavy_below, profile_findings
from leeward.survey.records import Nearby
from leeward.survey.spacing import profiles
from spaced_boards import socket
from thermal_boards import chip, footprint, land, part, parts, quad, square


def nearby(entry: Part, over: float, melts: float = 0.0) -> Nearby:
    """Return a part as a neighbour in some target's heat."""
    limit = entry.limit_c.value
    return Nearby(
        entry.id, entry.ref, entry.footprint.side, 2.0, limit, limit, limit, 0.0, over, melts, ("none",), "low"
    )


def grid(ref: str, x_mm: float, *, bottom: bool) -> Part:
    """Return a part with four balls under it."""
    body, layer, style = square(x_mm, 0, 8.0), "B.Cu" if bottom else "F.Cu", "ball-grid"
    lands = tuple(land(f"A{i}", square(x_mm - 3 + 2 * i, 0, 0.4), layer=layer) for i in range(4))
    lead_style: LeadStyle = style  # type: ignore[assignment]  # one of the styles by name
    return part(footprint(ref, lands, body, bottom=bottom), body, style=lead_style)


def test_a_fragile_part_in_many_zones_is_told_once() -> None:
    """A connector over its limit in three targets' heat is one finding with their number; in two it is none."""
    fragile = socket("J1", 0, 0)
    known = parts(fragile)
    three = {f"id-U{i}": [nearby(fragile, 0.1 * i)] for i in (1, 2, 3)}
    (found,) = fragile_parts(known, three)
    assert found.rule == "fragile-in-many-zones"
    assert found.evidence["targets"] == 3.0
    assert found.evidence["probability"] == pytest.approx(0.3)
    assert fragile_parts(known, {key: three[key] for key in ("id-U1", "id-U2")}) == []


def test_a_cell_must_come_off_first_and_that_is_about_injury() -> None:
    """A lithium cell in one target's heat is a finding of the worst severity, a display one of a lost part."""
    cell = replace(chip("BT1", 0, 0, fragile="E", limit_c=85.0), hazards=("lithium-cell",))
    display = chip("LCD1", 5, 0, fragile="E", limit_c=80.0)
    found = fragile_parts(parts(cell, display), {"id-U1": [nearby(cell, 0.9), nearby(display, 0.9)]})
    assert {(each.rule, each.refs, each.severity) for each in found} == {
        ("must-come-off-first", ("BT1",), "injury"),
        ("must-come-off-first", ("LCD1",), "part lost"),
    }


def test_a_heavy_part_on_the_lighter_side_is_told() -> None:
    """A part of 60 mg/mm2 of land on the lighter side passes the practice limit of 46.5; on the heavier it may."""
    heavy = chip("L1", 0, 0, bottom=True)
    land_mm2 = sum(pad.area_mm2 for pad in heavy.footprint.pads)
    heavy = replace(heavy, mass_mg=Known(60.0 * land_mm2, "invented", "high"))
    top = replace(quad("U1", 20, 0, 10.0), mass_mg=Known(5000.0, "invented", "high"))
    (found,) = heavy_below(parts(heavy, top))
    assert found.rule == "heavy-on-second-side"
    assert found.evidence["ratio"] == pytest.approx(60.0 / 46.5)
    assert found.priority == "high"
    light_top = replace(top, mass_mg=Known(1.0, "invented", "high"))
    assert heavy_below(parts(heavy, light_top)) == []


def test_grids_back_to_back_are_told_by_what_is_computed() -> None:
    """Two grids that overlap in plan are one finding, with the melting that was computed, else a fair chance."""
    top, below, aside = grid("U1", 0, bottom=False), grid("U2", 3.0, bottom=True), grid("U3", 20.0, bottom=True)
    known = parts(top, below, aside)
    (seen,) = grids_back_to_back(known, {"id-U1": [nearby(below, 0.0, 0.4)], "id-U2": [nearby(top, 0.0, 0.2)]})
    assert seen.refs == ("U1", "U2")
    assert seen.evidence == pytest.approx({"probability": 0.4, "overlap_mm2": 5.0 * 8.0})
    (by_plan,) = grids_back_to_back(known, {})
    assert by_plan.priority == "medium"


def test_what_lacks_most_of_a_profile_is_most_urgent() -> None:
    """A shortfall of 60 percent is high, of 4 percent low; the source is the profile's."""
    near = parts(quad("U1", 0, 0, 10.0), quad("U2", 13.0, 0, 10.0))
    (found,) = profile_findings(profiles()["assembler"], near)
    assert found.evidence["short_mm"] == pytest.approx(1.5)
    assert found.priority == "high"
    assert found.source.startswith("profile assembler: ")
    (little,) = profile_findings(profiles()["assembler"], parts(quad("U1", 0, 0, 10.0), quad("U2", 14.4, 0, 10.0)))
    assert little.priority == "low"
