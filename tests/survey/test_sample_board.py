"""Each kind of finding provoked once on the sample board, and gone on a copy with that put right."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import shapely

from leeward.bench.read import read_bench
from leeward.board.edit import Edit, Move, Relief, ViaInLand
from leeward.board.read import read
from leeward.board.records import Fill, Pad
from leeward.known import Known
from leeward.parts.identify import identify
from leeward.parts.records import LeadStyle, Part
from leeward.review.records import Finding
from leeward.survey.assess import Assessment, findings_about
from leeward.survey.board_wide import fragile_parts, grids_back_to_back, heavy_below, profile_findings
from leeward.survey.changed import after
from leeward.survey.ground import Ground, ground
from leeward.survey.pool import outcome
from leeward.survey.records import Nearby
from leeward.survey.rules import rules
from leeward.survey.spacing import profiles

SAMPLE = Path(__file__).parents[2] / "sample_boards" / "tide_logger.kicad_pcb"
OF_A_REVIEW = {
    "cell-on-a-heated-board",  # the survey tells it of the cell: must-come-off-first
    "grid-under-grid",  # and of the pair: ball-grids-back-to-back
    "part-may-be-floated",  # and with others: joints-around-melt
    "no-room-for-support",
    "heater-meets-part",
}
Change = Callable[[Ground], Ground]
Look = Callable[[Ground], Sequence[Finding]]


@cache
def sample() -> Ground:
    """Return the ground of the sample board with the default bench."""
    board = read(str(SAMPLE))
    return ground(board, identify(board), read_bench(), geometry_only=False)


def of(shared: Ground, ref: str) -> Part:
    """Return the part of a reference."""
    return next(part for part in shared.parts.by_id.values() if part.ref == ref)


def known(value: object) -> Any:
    """Return a value that the test invents."""
    return Known(value, "invented", "high")


def unchanged(shared: Ground) -> Ground:
    """Leave the board as it is."""
    return shared


def both(*changes: Change) -> Change:
    """Return changes made one after another."""

    def change(shared: Ground) -> Ground:
        for each in changes:
            shared = each(shared)
        return shared

    return change


def edited(ref: str, edit: Callable[[str], Edit]) -> Change:
    """Return an edit of the layout at a part."""
    return lambda shared: after(shared, [edit(of(shared, ref).id)])


def moved(ref: str, dx_mm: float, dy_mm: float) -> Change:
    """Return a move of a part."""
    return edited(ref, lambda part_id: Move(part_id, dx_mm, dy_mm))


def beside(ref: str, target: str, gap_mm: float) -> Change:
    """Return a move that puts a part to the left of a target's leads, at the same height."""

    def change(shared: Ground) -> Ground:
        own, other = of(shared, ref), of(shared, target)
        dx = other.leads.bounds[0] - gap_mm - own.leads.bounds[2]
        dy = other.leads.centroid.y - own.leads.centroid.y
        return after(shared, [Move(own.id, dx, dy)])

    return change


def made(ref: str, **values: object) -> Change:
    """Return a part made into something else."""

    def change(shared: Ground) -> Ground:
        part = replace(of(shared, ref), **values)  # type: ignore[arg-type]  # fields of a part, by name
        return replace(shared, parts=replace(shared.parts, by_id={**shared.parts.by_id, part.id: part}))

    return change


def left_out(*refs: str) -> Change:
    """Return parts not fitted: lands without a body."""

    def change(shared: Ground) -> Ground:
        gone = {of(shared, ref).id for ref in refs}
        by_id = {i: replace(p, body=shapely.Polygon()) if i in gone else p for i, p in shared.parts.by_id.items()}
        return replace(shared, parts=replace(shared.parts, by_id=by_id))

    return change


def alone(ref: str) -> Change:
    """Return all but one part not fitted."""
    return lambda shared: left_out(*(p.ref for p in shared.parts.by_id.values() if p.ref != ref))(shared)


def with_bench(**values: object) -> Change:
    """Return another bench."""
    return lambda shared: replace(shared, bench=replace(shared.bench, **values))  # type: ignore[arg-type]  # fields


def flooded(ref: str, pad: str) -> Change:
    """Return a land in full contact with a pour of its net that keeps clear of the part's other lands."""

    def change(shared: Ground) -> Ground:
        part = of(shared, ref)
        land = next(each for each in part.footprint.pads if each.number == pad)
        zone = next(z for z in shared.board.zones if z.net == land.net and "F.Cu" in z.layers)
        others = shapely.union_all([each.copper for each in part.footprint.pads if each.number != pad])
        copper = land.copper.buffer(8.0).difference(others.buffer(0.5))
        solid = replace(zone, fills=(Fill("F.Cu", copper),))
        own = tuple(
            replace(each, zone_connection="solid") if each.number == pad else each for each in part.footprint.pads
        )
        footprint = replace(part.footprint, pads=own)
        board = replace(
            shared.board,
            zones=tuple(solid if each is zone else each for each in shared.board.zones),
            footprints=tuple(footprint if each.id == part.id else each for each in shared.board.footprints),
        )
        fresh = ground(board, shared.parts, shared.bench, geometry_only=False)
        return made(ref, footprint=footprint)(fresh)

    return change


def with_vias(ref: str, wanted: Callable[[Pad], bool], drill_mm: float, diameter_mm: float) -> Change:
    """Return vias in the lands of a part that are wanted."""

    def change(shared: Ground) -> Ground:
        part = of(shared, ref)
        pads = [pad for pad in part.footprint.pads if wanted(pad)]
        return after(shared, [ViaInLand(part.id, pad.number, drill_mm, diameter_mm) for pad in pads])

    return change


def by_geometry(shared: Ground) -> Ground:
    """Return the ground without copper, where the outlines are all that is asked."""
    return replace(shared, copper=None)


def about(ref: str) -> Look:
    """Return a look at one target."""
    return lambda shared: findings_about(shared, of(shared, ref))


def heated_by(*refs: str) -> Callable[[Ground], dict[str, Sequence[Nearby]]]:
    """Return who stands in the heat of some targets."""

    def look(shared: Ground) -> dict[str, Sequence[Nearby]]:
        found = [outcome(shared, of(shared, ref).id) for ref in refs]
        return {one.part_id: one.heat.nearby for one in found if isinstance(one, Assessment) and one.heat is not None}

    return look


def fragile(*refs: str) -> Look:
    """Return a look at fragile parts in the heat of some targets."""
    return lambda shared: fragile_parts(shared.parts, heated_by(*refs)(shared))


@dataclass(frozen=True)
class Provoked:
    """A kind of finding: about which parts, where to look, what provokes it, what puts it right."""

    rule: str
    refs: tuple[str, ...]
    look: Look
    provoke: Change
    right: Change


THICK = tuple(replace(nozzle, wall_mm=1.6) for nozzle in read_bench().nozzles)
GRID: LeadStyle = "ball-grid"
CASES = (
    Provoked("wall-too-close", ("U5", "J3"), about("U5"),
             both(by_geometry, beside("J3", "U5", -0.4)), moved("J3", -40.0, 30.0)),
    Provoked("courtyards-clear-no-nozzle", ("U5", "J3"), about("U5"),
             both(by_geometry, beside("J3", "U5", 1.5), with_bench(nozzles=THICK)), moved("J3", -40.0, 30.0)),
    Provoked("no-nozzle-fits", ("U1",), about("U1"),
             both(by_geometry, with_bench(nozzles=())), with_bench(nozzles=read_bench().nozzles)),
    Provoked("too-close-for-profile", ("BT1", "C15"), lambda g: profile_findings(profiles()["assembler"], g.parts),
             unchanged, moved("C15", 40.0, 0.0)),
    Provoked("tall-neighbour", ("Q1", "J4"), about("Q1"), by_geometry, left_out("J4")),
    Provoked("under-a-can", ("U6", "L1"), about("U6"),
             both(by_geometry, lambda g: made("U6", under=of(g, "L1").id)(g)), made("U6", under=None)),
    Provoked("heavy-on-second-side", ("L2",), lambda g: heavy_below(g.parts),
             made("L2", mass_mg=known(900.0)), made("L2", mass_mg=known(90.0))),
    Provoked("ball-grids-back-to-back", ("U3", "U8"), lambda g: grids_back_to_back(g.parts, {}),
             both(made("U8", lead_style=known(GRID)), lambda g: made("U8", body=of(g, "U3").body)(g)),
             made("U8", lead_style=known("gull-wing"))),
    Provoked("fragile-in-many-zones", ("J3",), fragile("Y1", "U1", "J1"), unchanged, made("J3", limit_c=known(300.0))),
    Provoked("must-come-off-first", ("BT1",), fragile("Q1"), unchanged, left_out("BT1")),
    Provoked("neighbour-over-limit", ("Y1", "J3"), about("Y1"), unchanged, moved("J3", -40.0, 30.0)),
    Provoked("neighbour-joint-melts", ("U3", "U7"), about("U3"), unchanged, left_out("U7")),
    Provoked("joints-around-melt", ("Q1",), about("Q1"), unchanged, alone("Q1")),
    Provoked("melt-in-doubt", ("U6",), about("U6"), unchanged, alone("U6")),
    Provoked("reflow-not-reached", ("U1",), about("U1"),
             with_bench(station=replace(read_bench().station, most_c=200.0)), with_bench(station=read_bench().station)),
    Provoked("target-over-limit", ("U5",), about("U5"),
             made("U5", limit_c=known(190.0)), made("U5", limit_c=known(320.0))),
    Provoked("pad-may-lift", ("U2",), about("U2"),
             with_bench(station=replace(read_bench().station, most_c=300.0)),
             with_vias("U2", lambda _pad: True, 0.3, 0.6)),
    Provoked("unanchored-land", ("U4",), about("U4"), unchanged,
             with_vias("U4", lambda pad: "unconnected" in pad.net or not pad.net, 0.2, 0.3)),
    Provoked("plane-tied-land", ("U5",), about("U5"), flooded("U5", "4"), edited("U5", lambda i: Relief(i, "4"))),
    Provoked("part-may-be-blown", ("Y1", "C15"), about("Y1"), unchanged, left_out("C15")),
    Provoked("part-may-be-dropped", ("U1", "L2"), about("U1"), unchanged, left_out("L2")),
)  # fmt: skip


def kinds(found: Sequence[Finding]) -> set[tuple[str, tuple[str, ...]]]:
    """Return kinds with the parts they are about."""
    return {(finding.rule, finding.refs) for finding in found}


@pytest.mark.parametrize("case", CASES, ids=[case.rule for case in CASES])
def test_a_kind_is_provoked_and_put_right(case: Provoked) -> None:
    """The finding is there about these parts once provoked, and gone when what provokes it is put right."""
    bad = case.provoke(sample())
    assert (case.rule, case.refs) in kinds(case.look(bad))
    assert (case.rule, case.refs) not in kinds(case.look(case.right(bad)))


def test_every_kind_of_the_survey_is_provoked() -> None:
    """No kind is left out but those that only the review of one part tells."""
    assert {case.rule for case in CASES} | OF_A_REVIEW == set(rules())
