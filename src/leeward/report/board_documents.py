"""The board and its parts as documents."""

from collections.abc import Iterable

from leeward.board.outlines import kicad_courtyard_area_mm2
from leeward.board.records import Board, Pad
from leeward.known import Known, NotAssessed
from leeward.parts.order import natural_key
from leeward.parts.records import Part, Parts
from leeward.report.documents import (
    BoardDocument,
    NotAssessedDocument,
    PadDocument,
    PartDocument,
    PartsDocument,
    SourceDocument,
    SourcesDocument,
)


def parts_document(board: Board, parts: Parts) -> PartsDocument:
    """Return what `leeward parts` answers, parts in natural order of reference, then id."""
    return PartsDocument(
        schema="leeward.parts/1",
        alloy=parts.alloy,
        board=board_document(board),
        parts=[part_document(part) for part in in_order(parts.by_id.values())],
        not_assessed=not_assessed_documents(parts.not_assessed),
    )


def in_order(parts: Iterable[Part]) -> list[Part]:
    """Return parts in natural order of reference, then id."""
    return sorted(parts, key=lambda part: (natural_key(part.ref), part.ref, part.id))


def board_document(board: Board) -> BoardDocument:
    """Return the board as a document; zone areas are sums over the fills in the file, teardrops among them."""
    return BoardDocument(
        file=board.file,
        sha256=board.sha256,
        format_version=board.format_version,
        copper_layers=board.copper_layers,
        thickness_mm=board.thickness_mm,
        outline_area_mm2=float(board.outline.area),
        tracks=len(board.tracks),
        vias=len(board.vias),
        zone_area_mm2=_zone_areas(board),
        notes=board.notes,
    )


def part_document(part: Part) -> PartDocument:
    """Return one part as a document."""
    footprint = part.footprint
    return PartDocument(
        id=part.id,
        ref=part.ref,
        value=footprint.value,
        footprint=footprint.library_id,
        line=footprint.line,
        side=footprint.side,
        x_mm=footprint.x_mm,
        y_mm=footprint.y_mm,
        rotation_deg=footprint.rotation_deg,
        fitted=footprint.fitted,
        family=part.family.value,
        lead_style=part.lead_style.value,
        body_mm=part.body_mm.value,
        height_mm=part.height_mm.value,
        mass_mg=part.mass_mg.value,
        limit_c=part.limit_c.value,
        limit_spread_c=part.limit_spread_c,
        courtyard_area_mm2=None if footprint.courtyard is None else kicad_courtyard_area_mm2(footprint.courtyard),
        surface_mount=part.surface_mount,
        reworkable=part.reworkable,
        hazards=part.hazards,
        msl=None if part.msl is None else part.msl.value,
        msl_source=None if part.msl is None else _source(part.msl),
        floor_life=part.floor_life,
        under=part.under,
        sources=_sources(part),
        pads=[_pad(pad) for pad in sorted(footprint.pads, key=_order)],
    )


def not_assessed_documents(entries: Iterable[NotAssessed]) -> list[NotAssessedDocument]:
    """Return what nothing is said about, in natural order of reference, then id."""
    ordered = sorted(entries, key=lambda entry: (natural_key(entry.ref), entry.ref, entry.id, entry.reason))
    return [NotAssessedDocument(entry.id, entry.ref, entry.reason) for entry in ordered]


def _zone_areas(board: Board) -> dict[str, float]:
    fills = [fill for zone in board.zones for fill in zone.fills if not fill.estimated]
    filled = {fill.layer for fill in fills}
    return {
        layer: sum(float(fill.copper.area) for fill in fills if fill.layer == layer)
        for layer in board.copper_layers
        if layer in filled
    }


def _sources(part: Part) -> SourcesDocument:
    return SourcesDocument(
        family=_source(part.family),
        lead_style=_source(part.lead_style),
        body_mm=_source(part.body_mm),
        height_mm=_source(part.height_mm),
        mass_mg=_source(part.mass_mg),
        limit_c=_source(part.limit_c),
        outline=_source(part.outline_source),
    )


def _source(known: Known[object]) -> SourceDocument:
    return SourceDocument(known.source, known.confidence)


def _order(pad: Pad) -> tuple[object, ...]:
    """Order pads by number and place: the file's order changes with the KiCad that saved it."""
    return natural_key(pad.number), pad.number, round(pad.x_mm, 4), round(pad.y_mm, 4), pad.area_mm2


def _pad(pad: Pad) -> PadDocument:
    return PadDocument(pad.number, pad.x_mm, pad.y_mm, pad.area_mm2, pad.net, pad.drill_mm, pad.sides)
