"""Reviews as documents."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.bench.records import NozzleFit, Stage
from leeward.board.records import Board
from leeward.heat.find import Window
from leeward.heat.records import Energy, JointHeat, MeltWindow, Zone
from leeward.job import WorkSequence
from leeward.known import NotAssessed
from leeward.parts.records import Part
from leeward.report.board_documents import board_document, not_assessed_documents, part_document
from leeward.report.documents import (
    AfterLiftDocument,
    ArrivesByDocument,
    BlockerDocument,
    CalibrationUsedDocument,
    ClearanceDocument,
    ColdestJointDocument,
    EnergyDocument,
    Figure,
    FindingDocument,
    HeatDocument,
    HistoriesDocument,
    HottestJointDocument,
    InspectionDocument,
    JointMeltDocument,
    LaminateDocument,
    LiftDocument,
    LooseDocument,
    NeighbourDocument,
    NotAssessedDocument,
    NozzleDocument,
    OppositeDocument,
    PadRiskDocument,
    PartNameDocument,
    PutBackDocument,
    ReviewDocument,
    Rings,
    SequenceDocument,
    SeriesDocument,
    SetupDocument,
    SharedViaDocument,
    ShieldDocument,
    ShieldingDocument,
    SourceDocument,
    StageDocument,
    StepDocument,
    TargetReviewDocument,
    ThermocoupleDocument,
    TweezersDocument,
    WindowDocument,
    ZoneDocument,
)
from leeward.report.wording import pad_one
from leeward.review.histories import histories
from leeward.review.records import (
    AfterLift,
    Case,
    Finding,
    JointMelt,
    Laminate,
    Lift,
    LoosePart,
    Neighbour,
    Opposite,
    PadRisk,
    Review,
)
from leeward.review.thermocouples import coldest, coldest_of, hottest
from leeward.shields.effect import gain_c, most_credit_c
from leeward.shields.records import Piece

MOST_TIMES = 200  # a history is thinned to so many times, first and last kept


def review_document(
    board: Board, reviews: Sequence[Review], sequence: WorkSequence, held: Sequence[str] = ()
) -> ReviewDocument:
    """Return what `leeward review` answers, reviews in work order.

    `held` names the options on nozzle and place that the user fixed; the recipe knows its own.
    """
    by_id = {review.case.target.id: review for review in reviews}
    return ReviewDocument(
        schema="leeward.review/1",
        board=board_document(board),
        reviews=[target_review(by_id[part_id], held) for part_id in sequence.order],
        sequence=SequenceDocument(sequence.order, sequence.take_off_first, sequence.cycles, sequence.because),
        not_assessed=[],
    )


def nothing_assessed(board: Board, refs: Sequence[str], reason: str) -> ReviewDocument:
    """Return the answer where there is nothing to judge, with the reason for every part that was asked for."""
    return ReviewDocument(
        schema="leeward.review/1",
        board=board_document(board),
        reviews=[],
        sequence=SequenceDocument([], [], [], []),
        not_assessed=[NotAssessedDocument(None, ref, reason) for ref in refs],
    )


def target_review(review: Review, held: Sequence[str]) -> TargetReviewDocument:
    """Return the review of one target."""
    case = review.case
    return TargetReviewDocument(
        target=part_document(case.target),
        setup=_setup(case, held),
        heat=_heat(review),
        hand_tool=review.hand_tool,
        neighbours=[_neighbour(entry) for entry in review.neighbours],
        clearance=[_clearance(fit) for fit in case.fits],
        laminate=_laminate(review.laminate),
        joints=[_joint(entry) for entry in review.joints],
        pads=[_pad(entry) for entry in review.pads],
        lift=_lift(review.lift),
        shields=[_shield(piece, case) for piece in case.shields.pieces],
        shielding=_shielding(review),
        loose=[_loose(entry) for entry in review.loose],
        opposite=_opposite(review.opposite),
        after_lift=_after_lift(review.after_lift),
        work_order=[StepDocument(step.step, step.do, step.why) for step in review.work_order],
        findings=[finding_document(finding) for finding in review.findings],
        cautions=review.cautions,
        not_assessed=not_assessed_documents(_others(review)),
    )


def stages_as_run(case: Case) -> list[StageDocument]:
    """Return the stages with the seconds that they took; one that was left out took none."""
    ends = case.heat.stage_ends_s
    ran = [stage.name for stage in case.recipe.stages if stage.name in ends]
    starts = [0.0, *(ends[name] for name in ran)]
    seconds = {name: ends[name] - start for name, start in zip(ran, starts, strict=False)}
    return [_stage(stage, seconds.get(stage.name, 0.0)) for stage in case.recipe.stages]


def _others(review: Review) -> list[NotAssessed]:
    return [entry for entry in review.not_assessed if entry.id != review.case.target.id]


def _stage(stage: Stage, seconds: float) -> StageDocument:
    return StageDocument(stage.name, seconds, stage.air_c, stage.flow_l_min, stage.board_heater_c)


def _setup(case: Case, held: Sequence[str]) -> SetupDocument:
    return SetupDocument(
        nozzle=_nozzle(case.loads.fit),
        alloy=case.recipe.alloy,
        liquidus_c=case.recipe.liquidus_c,
        stages=stages_as_run(case),
        held=[*held, *case.recipe.held],
        reaches_reflow=case.heat.reaches_reflow,
        why=case.heat.why,
        recipe_works=case.answer.works,
        recipe_why=case.answer.why,
        recipe_source=case.recipe.source,
        window=_window(case.answer.window),
        calibration=_calibration(case),
    )


def _calibration(case: Case) -> CalibrationUsedDocument | None:
    used = case.bench.calibration_of(case.loads.fit.nozzle.id)
    if used is None:
        return None
    same_board = used.board == case.board.sha256
    return CalibrationUsedDocument(used.date, used.logs, same_board, used.misfit_c, used.shield_seen)


def _window(window: Window) -> WindowDocument:
    return WindowDocument(
        flow_l_min=window.flow_l_min,
        preheat_air_c=window.lead_up_c[0],
        soak_air_c=window.lead_up_c[1],
        board_heater_c=window.board_heater_c,
        air_c=window.air_c,
        verdict=window.verdict,
    )


def _nozzle(fit: NozzleFit) -> NozzleDocument:
    nozzle = fit.nozzle
    return NozzleDocument(
        id=nozzle.id,
        outlet=nozzle.outlet,
        aperture_mm=nozzle.aperture_mm,
        wall_mm=nozzle.wall_mm,
        skirt_height_mm=nozzle.skirt_height_mm,
        rotation_deg=fit.rotation_deg,
        standoff_mm=fit.standoff_mm,
    )


def _heat(review: Review) -> HeatDocument:
    case, heat = review.case, review.case.heat
    return HeatDocument(
        validity=heat.validity,
        spread_c=heat.spread_c,
        seconds_spread_by=heat.seconds_spread_by,
        coldest_joint=_coldest(review),
        hottest_joint=_hottest(case),
        probability_melted=review.probability_melted,
        target_top_peak_c=heat.target_top_peak_c,
        target_limit_c=case.target.limit_c.value,
        probability_target_over=review.target_over_limit,
        board_peak_c=heat.board_peak_c,
        far_peak_c=heat.far_peak_c,
        seconds_above_tg=heat.seconds_above_tg,
        max_ramp_c_s=heat.max_ramp_c_s,
        energy=_energy(heat.energy),
        zones=[_zone(zone) for zone in case.bare.zones],
        histories=_histories(review),
        thermocouples=[ThermocoupleDocument(t.x_mm, t.y_mm, t.side, t.on, t.why) for t in review.thermocouples],
    )


def _coldest(review: Review, heat: JointHeat | None = None) -> ColdestJointDocument:
    """Return the coldest joint as it is worked, or that given."""
    joint = heat or coldest(review.case)
    spread_s, earliest_s, latest_s = _melt_window(joint.window)
    return ColdestJointDocument(
        pad=joint.joint.pad,
        x_mm=joint.joint.x_mm,
        y_mm=joint.joint.y_mm,
        peak_c=joint.peak_c,
        seconds_to_liquidus=joint.seconds_to_liquidus,
        seconds_spread=spread_s,
        earliest_s=earliest_s,
        latest_s=latest_s,
    )


def _melt_window(window: MeltWindow | None) -> tuple[Figure, Figure, Figure]:
    """Return the spread of a melt, its earliest and its latest moment, s; null where the joint stays solid."""
    return (None, None, None) if window is None else (window.spread_s, window.earliest_s, window.latest_s)


def _shield(piece: Piece, case: Case) -> ShieldDocument:
    laid = sorted(polygons(piece.area), key=lambda rings: -shapely.Polygon(rings[0]).area)
    return ShieldDocument(
        number=piece.number,
        kind=piece.kind,
        shape=piece.shape,
        material=piece.material.id,
        layers=piece.layers,
        side=piece.side,
        length_mm=piece.length_mm,
        width_mm=piece.width_mm,
        roll_width_mm=piece.roll_width_mm,
        angle_deg=round(piece.angle_deg, 3) % 180,
        height_mm=piece.height_mm,
        air_gap_mm=piece.air_gap_mm,
        nozzle_gap_mm=piece.wall_gap_mm,
        polygon=laid[0],
        polygons=laid,
        folded_up=[_ring(line) for line in shapely.get_parts(piece.dams) if not line.is_empty],
        covers=piece.covers,
        over=piece.over,
        brings_c=None if piece.kind == "air-mask" else gain_c(piece, case.bare, case.heat),
        why=piece.why,
    )


def _shielding(review: Review) -> ShieldingDocument:
    case = review.case
    return ShieldingDocument(
        credit_c=most_credit_c(case.bench, case.loads.fit.nozzle),
        bare_coldest_joint=_coldest(review, coldest_of(case.bare, case.target.id)),
        bare_reaches_reflow=case.bare.reaches_reflow,
    )


def _hottest(case: Case) -> HottestJointDocument:
    heat = hottest(case)
    return HottestJointDocument(heat.joint.pad, heat.joint.x_mm, heat.joint.y_mm, heat.peak_c)


def _energy(energy: Energy) -> EnergyDocument:
    return EnergyDocument(
        supplied_j=energy.supplied_j,
        stored_j=energy.stored_j,
        lost_j=energy.lost_j,
        imbalance=energy.imbalance,
        taken_from_air_j=energy.taken_from_air_j,
        carried_by_air_j=energy.carried_by_air_j,
    )


def _zone(zone: Zone) -> ZoneDocument:
    return ZoneDocument(zone.side, zone.above_c, float(zone.area.area), polygons(zone.area))


def polygons(area: BaseGeometry) -> list[Rings]:
    """Return the polygons of an area, each as its rings, the outer first."""
    found = [part for part in shapely.get_parts(area) if part.geom_type == "Polygon" and not part.is_empty]
    return [[_ring(ring) for ring in (polygon.exterior, *polygon.interiors)] for polygon in found]


def _ring(ring: BaseGeometry) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(ring)]


def _histories(review: Review) -> HistoriesDocument:
    heat, shown = review.case.heat, histories(review.case, review.neighbours)
    count = len(heat.time_s)
    kept = np.unique(np.linspace(0, count - 1, min(count, MOST_TIMES)).round().astype(int))
    return HistoriesDocument(
        time_s=heat.time_s[kept].tolist(),
        series=[SeriesDocument(series.name, series.id, series.celsius[kept].tolist()) for series in shown],
    )


def _neighbour(entry: Neighbour) -> NeighbourDocument:
    part = entry.part
    return NeighbourDocument(
        id=part.id,
        ref=part.ref,
        value=part.footprint.value,
        family=part.family.value,
        side=part.footprint.side,
        gap_mm=entry.gap_mm,
        nozzle_gap_mm=entry.nozzle_gap_mm,
        passes_under_wall=bool(entry.passes_under_wall),
        direction_deg=round(entry.direction_deg, 3) % 360,  # 359.9999 is 0, as is -1e-15
        body_peak_c=entry.body_peak_c,
        joint_peak_c=entry.joint_peak_c,
        limit_c=part.limit_c.value,
        joint_limit_c=entry.joint_limit_c,
        limit_source=part.limit_c.source,
        limit_confidence=part.limit_c.confidence,
        margin_c=entry.margin_c,
        spread_c=entry.spread_c,
        probability_over=entry.probability_over,
        probability_joint_over=entry.probability_joint_over,
        probability_joint_melts=entry.probability_joint_melts,
        max_ramp_c_s=entry.max_ramp_c_s,
        seconds_above_liquidus=entry.seconds_above_liquidus,
        arrives_by=ArrivesByDocument(entry.by_air, entry.by_copper),
        shield=entry.shield,
        shield_why=entry.shield_why,
        shielded_peak_c=entry.shielded.body_c,
        shielded_joint_peak_c=entry.shielded.joint_c,
        credited_peak_c=entry.shielded.credited_body_c,
        credited_joint_peak_c=entry.shielded.credited_joint_c,
        probability_over_shielded=entry.probability_over_shielded,
        probability_joint_melts_shielded=entry.probability_melts_shielded,
        priority_shielded=entry.priority_shielded,
        severity=entry.severity,
        priority=entry.priority,
        why=entry.why,
    )


def _clearance(fit: NozzleFit) -> ClearanceDocument:
    blockers = [BlockerDocument(b.id, b.ref, b.gap_mm, b.height_mm) for b in fit.blockers]
    return ClearanceDocument(fit.nozzle.id, fit.rotation_deg, bool(fit.fits), fit.min_gap_mm, blockers, fit.why)


def _laminate(laminate: Laminate) -> LaminateDocument:
    glass, burns = laminate.glass_transition_c, laminate.decomposition_c
    return LaminateDocument(
        glass_transition_c=glass.value,
        glass_transition_source=SourceDocument(glass.source, glass.confidence),
        told=laminate.told,
        decomposition_c=burns.value,
        decomposition_source=SourceDocument(burns.source, burns.confidence),
    )


def _joint(joint: JointMelt) -> JointMeltDocument:
    spread_s, earliest_s, latest_s = _melt_window(joint.window)
    return JointMeltDocument(
        pad=joint.pad,
        x_mm=joint.x_mm,
        y_mm=joint.y_mm,
        net=joint.net,
        seconds_to_liquidus=joint.seconds_to_liquidus,
        seconds_spread=spread_s,
        earliest_s=earliest_s,
        latest_s=latest_s,
        lift_c=joint.lift_c,
        behind_c=joint.behind_c,
        probability_solid=joint.probability_solid,
        reasons=joint.reasons,
        remedies=joint.remedies,
    )


def _pad(entry: PadRisk) -> PadRiskDocument:
    return PadRiskDocument(
        number=entry.number,
        x_mm=entry.x_mm,
        y_mm=entry.y_mm,
        net=entry.net,
        area_mm2=entry.area_mm2,
        defined_by=entry.defined_by,
        unconnected=entry.unconnected,
        corner=entry.corner,
        peak_c=entry.peak_c,
        seconds_over_tg=entry.seconds_over_tg,
        spoiled=entry.spoiled,
        probability_solid=entry.probability_solid,
        pull_n=entry.pull_n,
        pry_n=entry.pry_n,
        capability_n=entry.capability_n,
        demand_n=entry.demand_n,
        demand_melted_n=entry.demand_melted_n,
        pry_melted_n=entry.pry_melted_n,
        solder_n=entry.solder_n,
        anchors=entry.anchors,
        lift_risk=entry.lift_risk,
        priority=entry.priority,
        why=entry.why,
    )


def _lift(lift: Lift) -> LiftDocument:
    way = lift.tweezers
    return LiftDocument(
        weight_n=lift.weight_n,
        surface_tension_n=lift.surface_tension_n,
        pull_n=lift.pull_n,
        allowed_n=lift.allowed_n,
        weakest_pad=lift.weakest_pad,
        cup_protects=lift.cup_protects,
        least_cup_mm=lift.least_cup_mm,
        largest_cup_mm=lift.largest_cup_mm,
        cup=None if lift.cup is None else lift.cup.id,
        cup_diameter_mm=None if lift.cup is None else lift.cup.diameter_mm,
        vacuum_kpa=lift.vacuum_kpa,
        why_no_cup=lift.why_no_cup,
        tweezers=None if way is None else TweezersDocument(way.direction_deg, way.access_deg, way.past),
    )


def _opposite(opposite: Opposite) -> OppositeDocument:
    return OppositeDocument(
        under=[_name(part) for part in opposite.under],
        shared_vias=[
            SharedViaDocument(via.x_mm, via.y_mm, via.net, via.pad, via.part.id, via.part.ref, via.part_pad)
            for via in opposite.shared_vias
        ],
        mirrored_grids=[_name(part) for part in opposite.mirrored_grids],
        supports_mm=opposite.supports,
        steady=opposite.steady,
        tallest=None if opposite.tallest is None else _name(opposite.tallest),
        tallest_mm=opposite.tallest_mm,
        heater_room_mm=opposite.heater_room_mm,
    )


def _name(part: Part) -> PartNameDocument:
    return PartNameDocument(part.id, part.ref)


def _after_lift(after: AfterLift) -> AfterLiftDocument:
    return AfterLiftDocument(
        cool=after.cool,
        first=after.first,
        inspect=[InspectionDocument(point.what, point.against, point.source) for point in after.inspect],
        prepare=after.prepare,
        put_on=after.put_on,
    )


def _loose(entry: LoosePart) -> LooseDocument:
    part = entry.part
    return LooseDocument(
        id=part.id,
        ref=part.ref,
        side=part.footprint.side,
        how=entry.how,
        ratio=entry.ratio,
        probability=entry.probability,
        put_back=_put_back(part),
    )


def _put_back(part: Part) -> PutBackDocument:
    footprint = part.footprint
    return PutBackDocument(
        value=footprint.value,
        footprint=footprint.library_id,
        x_mm=footprint.x_mm,
        y_mm=footprint.y_mm,
        rotation_deg=footprint.rotation_deg,
        polarity=pad_one(part),
    )


def finding_document(finding: Finding) -> FindingDocument:
    """Return one finding as a document."""
    return FindingDocument(
        key=finding.key,
        rule=finding.rule,
        parts=finding.parts,
        refs=finding.refs,
        severity=finding.severity,
        likelihood=finding.likelihood,
        priority=finding.priority,
        evidence=finding.evidence,
        why=finding.why,
        remedy=finding.remedy,
        source=finding.source,
        waived=finding.waived,
    )
