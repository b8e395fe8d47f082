"""Surveys as documents."""

from collections.abc import Sequence

from leeward.report.board_documents import board_document, not_assessed_documents
from leeward.report.documents import (
    SurveyBoardDocument,
    SurveyDocument,
    SurveyTargetDocument,
    UnusedWaiverDocument,
)
from leeward.report.review_documents import finding_document
from leeward.survey.records import Survey, Target, UnusedWaiver


def survey_document(surveys: Sequence[Survey]) -> SurveyDocument:
    """Return what `leeward survey` answers."""
    return SurveyDocument("leeward.survey/1", [_board(survey) for survey in surveys])


def _board(survey: Survey) -> SurveyBoardDocument:
    return SurveyBoardDocument(
        board=board_document(survey.board),
        profile=survey.profile,
        geometry_only=survey.geometry_only,
        targets=[_target(target) for target in survey.targets],
        findings=[finding_document(finding) for finding in survey.findings],
        waived=len(survey.findings) - len(survey.standing),
        known=survey.known_before,
        unused_waivers=[_waiver(unused) for unused in survey.unused_waivers],
        not_assessed=not_assessed_documents(survey.not_assessed),
    )


def _target(target: Target) -> SurveyTargetDocument:
    heat, worst, nozzle, side = target.heat, target.worst, target.nozzle, target.part.footprint.side
    return SurveyTargetDocument(
        id=target.part.id,
        ref=target.part.ref,
        side=side,
        priority=target.priority,
        hand_tool=target.hand_tool,
        needs_shield=None if heat is None else len(target.in_need),
        high_neighbours=[entry.id for entry in target.high],
        opposite_high=[entry.id for entry in target.high if entry.side != side],
        worst_neighbour=None if worst is None else worst.id,
        worst_margin_c=None if worst is None else worst.margin_c,
        best_nozzle=nozzle.id,
        nozzle_fits=nozzle.fits,
        nozzle_gap_mm=nozzle.gap_mm,
        blocked_by=nozzle.blocked_by,
        coldest_pad=None if heat is None else heat.coldest_pad,
        coldest_c=None if heat is None else heat.coldest_c,
        reaches_reflow=None if heat is None else bool(heat.reaches_reflow),
        lift_risk=None if heat is None else heat.lift_risk,
        findings=target.findings,
    )


def _waiver(unused: UnusedWaiver) -> UnusedWaiverDocument:
    waiver = unused.waiver
    until = None if waiver.until is None else waiver.until.isoformat()
    return UnusedWaiverDocument(waiver.rule, waiver.parts, waiver.reason, until, unused.why)
