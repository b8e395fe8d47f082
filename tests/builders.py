"""Small invented records for tests: a lamp driver board with one target, two neighbours and a coin cell."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from leeward.bench.read import read_bench
from leeward.bench.records import Blocker, Cup, NozzleFit
from leeward.board.records import Board, Fill, Footprint, Pad, Side, StackLayer, Stackup, Track, Via, Zone
from leeward.heat.find import RecipeAnswer, Window
from leeward.heat.loads import Loads
from leeward.heat.recipe import Held, Recipe
from leeward.heat.records import BodyHeat, Energy, Exposure, Heat, Joint, JointHeat, MeltWindow, Series
from leeward.heat.records import Zone as HeatZone
from leeward.job import WorkSequence
from leeward.known import Confidence, Known, NotAssessed
from leeward.parts.records import LeadStyle, Part, Parts
from leeward.review.records import (
    AfterLift,
    Case,
    Finding,
    Inspection,
    JointMelt,
    Laminate,
    Lift,
    LoosePart,
    Neighbour,
    Opposite,
    PadRisk,
    Priority,
    Review,
    SharedVia,
    Step,
    Thermocouple,
    Tweezers,
)
from leeward.shields.effect import Effect
from leeward.shields.records import Pattern, Piece, ShieldPlan

SECONDS = 401  # of the invented run, one time each second
NOTHING = np.empty(0)


def pad(number: str, x_mm: float, y_mm: float, net: str = "LAMP") -> Pad:
    """Return a surface pad of 0.6 by 1.5 mm."""
    copper = shapely.box(x_mm - 0.3, y_mm - 0.75, x_mm + 0.3, y_mm + 0.75)
    return Pad(number, "smd", "rect", x_mm, y_mm, copper, ("F.Cu",), None, None, net, "inherited", True, True)


def footprint(ref: str, x_mm: float, y_mm: float, side: Side = "top", value: str = "lamp driver") -> Footprint:
    """Return a footprint with two pads."""
    return Footprint(
        id=f"id-{ref}",
        ref=ref,
        value=value,
        library_id="Invented:Two_Pads",
        line=42,
        side=side,
        x_mm=x_mm,
        y_mm=y_mm,
        rotation_deg=90.0,
        fitted=True,
        attributes=frozenset({"smd"}),
        description="",
        keywords="",
        fields={},
        pads=(pad("1", x_mm - 1, y_mm), pad("2", x_mm + 1, y_mm, "GND")),
        courtyard=shapely.box(x_mm - 2, y_mm - 2, x_mm + 2, y_mm + 2),
        fab=None,
        silk=None,
        models=(),
    )


def part(
    ref: str,
    x_mm: float = 20.0,
    y_mm: float = 20.0,
    *,
    lead_style: LeadStyle = "gull-wing",
    family: str = "two-row gull-wing",
    sure: Confidence = "high",
    side: Side = "top",
) -> Part:
    """Return a part of 3 by 2 mm; `sure` is the confidence of its height and its limit."""
    body = shapely.box(x_mm - 1.5, y_mm - 1, x_mm + 1.5, y_mm + 1)
    source = "invented table, row 3: for tests only"
    return Part(
        footprint=footprint(ref, x_mm, y_mm, side),
        family=Known(family, "footprint name", "high"),
        lead_style=Known(lead_style, "footprint name", "high"),
        body_mm=Known((3.0, 2.0), "fab drawing", "high"),
        body=body,
        leads=body.buffer(0.5),
        lead_span_mm=(4.0, 3.0),
        pitch_mm=1.27,
        rows=2,
        exposed_pad=None,
        height_mm=Known(1.5, source, sure),
        mass_mg=Known(30.0, source, "medium"),
        heat_capacity_j_k=0.03,
        limit_c=Known(245.0, source, sure),
        limit_spread_c=5.0,
        max_ramp_c_s=3.0,
        fragile_class="B",
        hazards=(),
        outline_source=Known("fab drawing", "fab drawing", "high"),
        reworkable=True,
        surface_mount=True,
    )


def board(file: str = "lamp.kicad_pcb", notes: tuple[str, ...] = ("1 zone(s) hold no fill",)) -> Board:
    """Return a two-layer board of 60 by 40 mm with two fills on the top layer."""
    fills = (Fill("F.Cu", shapely.box(0, 0, 10, 10)), Fill("F.Cu", shapely.box(20, 0, 30, 5)))
    layers = (
        StackLayer("F.Cu", "copper", 0.035, "copper"),
        StackLayer("dielectric 1", "dielectric", 1.53, "FR4"),
        StackLayer("B.Cu", "copper", 0.035, "copper"),
    )
    return Board(
        file=file,
        sha256="0" * 64,
        format_version=20241229,
        copper_layers=("F.Cu", "B.Cu"),
        layer_titles={},
        thickness_mm=1.6,
        stackup=Stackup(layers, "default"),
        outline=shapely.box(0, 0, 60, 40),
        outline_source="edge",
        footprints=(),
        tracks=(Track("F.Cu", "LAMP", 0.25, ((0.0, 0.0), (5.0, 0.0))),),
        vias=(Via(3.0, 3.0, 0.6, 0.3, ("F.Cu", "B.Cu"), "GND"),),
        zones=(Zone("pour", "GND", ("F.Cu",), shapely.box(0, 0, 30, 10), fills, 7),),
        artwork=(),
        notes=notes,
    )


WINDOW, EARLY_WINDOW = MeltWindow(12.34, 37.4, 62.6), MeltWindow(9.0, 32.0, 51.0)


def parts_of(*entries: Part, not_assessed: tuple[NotAssessed, ...] = ()) -> Parts:
    """Return parts by their ids in the order given."""
    return Parts({entry.id: entry for entry in entries}, not_assessed, "SAC305")


def heat(target: Part, seconds_to_liquidus: float | None = 47.26) -> Heat:
    """Return an invented answer: two joints, one zone with a hole, one history."""
    joints = tuple(
        JointHeat(
            Joint(target.id, entry.number, entry.x_mm, entry.y_mm, "top"), peak, peak - 1, melt, 20.0, 6.0, 8.0, window
        )
        for entry, peak, melt, window in zip(
            target.footprint.pads,
            (228.04, 236.0),
            (seconds_to_liquidus, 40.0),
            (None if seconds_to_liquidus is None else WINDOW, EARLY_WINDOW),
            strict=True,
        )
    )
    ring = shapely.box(10, 10, 30, 30).difference(shapely.box(15, 15, 16, 16))
    time_s = np.arange(SECONDS, dtype=float)
    return Heat(
        alloy_liquidus_c=217.0,
        stage_ends_s={"reflow": 220.0, "preheat": 100.0, "soak": 160.0, "cool": 400.0},
        reaches_reflow=seconds_to_liquidus is not None,
        why="reflow ends as pad 1, the last, is liquid",
        joints=joints,
        bodies={target.id: BodyHeat(241.26, 20.0, 1.234, 10.0, 5.0)},
        target_top_peak_c=241.26,
        board_peak_c=239.0,
        far_peak_c=165.0,
        seconds_above_tg=120.04,
        max_ramp_c_s=1.236,
        energy=Energy(1000.0, 200.0, 799.0, 0.001, 700.0, 8000.0),
        exposure=Exposure(NOTHING, NOTHING, NOTHING > 0, NOTHING, NOTHING, NOTHING),
        zones=(HeatZone("top", 150.0, ring),),
        time_s=time_s,
        series=(Series("coldest joint", target.id, 25.0 + time_s / 2),),
        body_c=(25.0 + time_s / 2)[:, None],
        spread_c=20.0,
        seconds_spread_by={"air_h": 11.0, "flow": 5.6},
        validity=("slots: within the range of the correlation",),
    )


def neighbour(entry: Part, priority: Priority = "high") -> Neighbour:
    """Return a neighbour 1.2 mm from the target."""
    return Neighbour(
        part=entry,
        gap_mm=1.23456,
        nozzle_gap_mm=0.4,
        passes_under_wall=False,
        direction_deg=-0.0,
        body_peak_c=231.26,
        joint_peak_c=None,
        joint_limit_c=200.0,
        margin_c=13.74,
        spread_c=20.0,
        probability_over=0.2512,
        probability_joint_over=0.5,
        probability_joint_melts=0.001,
        max_ramp_c_s=1.0,
        seconds_above_liquidus=0.0,
        by_air=0.75,
        by_copper=0.25,
        shield=("air-mask", "barrier"),
        shield_why="body at 231 C of 245 C, 75% of the heat by air",
        shielded=Effect(205.04, None, 211.26, None),
        probability_over_shielded=0.0512,
        probability_melts_shielded=0.001,
        priority_shielded=priority,
        severity="part lost",
        priority=priority,
        why="body may pass its limit",
    )


def finding(priority: Priority = "high", waived: str | None = None) -> Finding:
    """Return a finding about the target and C2."""
    return Finding(
        key="neighbour-over-limit:id-U1:id-C2",
        rule="neighbour-over-limit",
        parts=("id-U1", "id-C2"),
        refs=("U1", "C2"),
        severity="part lost",
        likelihood="likely",
        priority=priority,
        evidence={"probability": 0.25123, "gap_mm": 1.23456, "peak_c": 231.26},
        why="it stands in the air",
        remedy="put a heat barrier over it",
        source="invented table",
        waived=waived,
    )


def case(target: Part | None = None, others: tuple[Part, ...] | None = None) -> Case:
    """Return a solved case of U1 among C2, C10 and a part on the bottom."""
    chosen = target or part("U1")
    near = (
        (part("C10", 26.0), part("C2", 14.0, sure="low"), part("D3", 20.0, side="bottom")) if others is None else others
    )
    bench = read_bench()
    nozzle = bench.nozzles[0]
    aperture = shapely.box(15.5, 15.5, 24.5, 24.5)
    blocker = Blocker("id-C2", "C2", 0.1, 1.5)
    good = NozzleFit(
        nozzle, 90.0, 1.0, 20.0, 20.0, aperture, aperture.buffer(0.8), (0.9, 0.9), True, 1.2, (), "takes the leads"
    )
    bad = replace(good, rotation_deg=0.0, fits=False, min_gap_mm=None, blockers=(blocker,), why="walls meet C2")
    stages = bench.recipes[0].stages
    recipe = Recipe(stages, "SAC305", 217.0, 230.0, True, Held(air_c=340.0).names, "common practice, no source")
    window = Window(20.0, (None, None), (None, 160.0), (340.0,), (("too cold",), ("reflows",)))
    aside = NotAssessed("id-H1", "H1", "mounting hole")
    return Case(
        board=board(),
        parts=parts_of(chosen, *near, not_assessed=(aside,)),
        target=chosen,
        bench=bench,
        fits=(good, bad),
        loads=Loads(good, "top", bench.board_heater, 25.0),
        answer=RecipeAnswer(recipe, works=True, why="1 of 2 settings melts every joint", window=window),
        heat=heat(chosen),
        cycles_seen=1,
        bare=heat(chosen),
        shields=ShieldPlan((strip(),), {}, {}, {}),
    )


def strip() -> Piece:
    """Return a strip of tape over C2, its edge at the nozzle folded up."""
    area = shapely.box(12.0, 16.0, 15.0, 26.0)
    corners = ((0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (0.0, 6.0))
    return Piece(
        number=1,
        kind="air-mask",
        shape="strip",
        material=read_bench().shields[0],
        layers=1,
        side="top",
        area=area,
        lee=area,
        dams=shapely.LineString([(15.0, 16.0), (15.0, 24.0)]),
        length_mm=10.0,
        width_mm=6.0,
        roll_width_mm=6.0,
        direction_deg=90.0,
        height_mm=3.0,
        air_gap_mm=None,
        wall_gap_mm=None,
        resistance_m2k_w=4.1e-4,
        covers=("id-C2",),
        pattern=Pattern((corners,), (), (), (((0.0, 3.0), (10.0, 3.0)),)),
        sections=(),
        over=(),
        why="keeps moving air off",
    )


def laminate() -> Laminate:
    """Return a laminate of which nothing is known."""
    return Laminate(
        Known(140.0, "not known: 140 C is assumed", "low"), Known(305.0, "data sheets", "medium"), told=False
    )


def joints(target: Part) -> tuple[JointMelt, ...]:
    """Return a joint for each land, the first of them late with a reason."""
    first, second = target.footprint.pads
    return (
        JointMelt(
            first.number, first.x_mm, first.y_mm, first.net, 47.26, WINDOW, 227.04, 4.0, 0.02, ("tied",), ("soak",)
        ),
        JointMelt(second.number, second.x_mm, second.y_mm, second.net, 40.0, EARLY_WINDOW, 235.0, -4.0, 0.001, (), ()),
    )


def pad_risk(entry: Pad) -> PadRisk:
    """Return a land held by one trace."""
    return PadRisk(
        number=entry.number,
        x_mm=entry.x_mm,
        y_mm=entry.y_mm,
        net=entry.net,
        area_mm2=entry.area_mm2,
        defined_by="copper",
        unconnected=False,
        corner=True,
        peak_c=230.0,
        seconds_over_tg=120.04,
        spoiled=False,
        probability_solid=0.02,
        pull_n=0.9,
        pry_n=0.4,
        capability_n=1.5,
        demand_n=0.5,
        demand_melted_n=0.0012,
        pry_melted_n=0.0002,
        solder_n=0.0,
        anchors=("trace 0.25 mm to the north",),
        lift_risk=0.015,
        priority="low",
        why="held by a trace",
    )


def lift() -> Lift:
    """Return a lift with a cup and tweezers, whose pull passes what a land bears."""
    way = Tweezers("x", 90.0, 41.56, ("C2",))
    return Lift(0.01, 0.2, 0.32, 0.09, "2", 4.77, 12.0, Cup("cup-5", 5.0, 300.0), "", 27.16, way)


def opposite(others: Sequence[Part]) -> Opposite:
    """Return the other side with the first of some parts under the target and a via shared with it."""
    below = others[:1]
    vias = tuple(SharedVia(19.0, 20.5, "LAMP", "1", entry, "2") for entry in below)
    return Opposite(
        under=tuple(below),
        shared_vias=vias,
        mirrored_grids=(),
        supports=((10.0, 10.0), (30.0, 10.0), (20.0, 35.0)),
        steady=True,
        tallest=below[0] if below else None,
        tallest_mm=1.5,
        heater_room_mm=None,
    )


def after_lift() -> AfterLift:
    """Return what follows a lift, one point of each kind."""
    look = Inspection("Outer lower edge", "lifted by more than one land thickness: a defect", "IPC-A-610G")
    return AfterLift(("2", "1"), (look,), ("Flux the lands",), ("The same alloy",), ("Air and heater off",))


def review(solved: Case | None = None, *, findings: tuple[Finding, ...] | None = None) -> Review:
    """Return an invented review of a case."""
    chosen = solved or case()
    others = [entry for entry in chosen.parts.by_id.values() if entry.id != chosen.target.id]
    return Review(
        case=chosen,
        probability_melted=0.9876,
        target_over_limit=0.2,
        hand_tool=None,
        neighbours=tuple(neighbour(entry) for entry in others),
        laminate=laminate(),
        joints=joints(chosen.target),
        pads=tuple(pad_risk(entry) for entry in chosen.target.footprint.pads),
        lift=lift(),
        opposite=opposite(others),
        after_lift=after_lift(),
        loose=tuple(LoosePart(entry, "blown", 0.4, 0.6) for entry in others[:1]),
        thermocouples=(Thermocouple(19.0, 20.0, "top", "U1 pad 1", "the last joint to melt"),),
        work_order=(Step(1, "Support the board.", "a hot board sags"),),
        findings=(finding(),) if findings is None else findings,
        cautions=("Burns: the nozzle is hot.",),
        not_assessed=chosen.parts.not_assessed,
    )


def sequence(*reviews: Review) -> WorkSequence:
    """Return the reviews' targets in the order given."""
    return WorkSequence(tuple(entry.case.target.id for entry in reviews), (), (), ())
