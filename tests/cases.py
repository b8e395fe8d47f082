"""Solved cases of invented boards, for tests of review and report."""

from functools import cache

from leeward.bench.read import read_bench
from leeward.job import Request, settle
from leeward.parts.records import Part
from leeward.review.records import Case
from thermal_boards import board, chip, footprint, land, part, parts, pour, quad, square

OUTLINE = square(0, 0, 90.0)


def case_of(target: Part, *others: Part, request: Request | None = None) -> Case:
    """Return the solved case of a target on a four-layer board with planes."""
    everything = parts(target, *others)
    planes = (pour("In1.Cu", OUTLINE), pour("In2.Cu", OUTLINE, net="3V3"))
    plain = board(OUTLINE, layers=4, footprints=tuple(p.footprint for p in everything.by_id.values()), zones=planes)
    return settle(request or Request((target.ref,)), target, plain, everything, read_bench())


def cell(ref: str, x_mm: float, y_mm: float) -> Part:
    """Return a lithium cell in its holder."""
    body = square(x_mm, y_mm, 12.0)
    source = footprint(ref, (land("1", square(x_mm - 7, y_mm, 2)), land("2", square(x_mm + 7, y_mm, 2))), body)
    return part(source, body, style="connector", height_mm=5.0, limit_c=85.0, fragile="E", hazards=("lithium-cell",))


def plastic(ref: str, x_mm: float, y_mm: float) -> Part:
    """Return a plastic body 6 mm square and 3 mm tall, which bears little heat, on two lands one above the other."""
    body = square(x_mm, y_mm, 6.0)
    lands = (land("1", square(x_mm, y_mm - 2, 1)), land("2", square(x_mm, y_mm + 2, 1)))
    return part(footprint(ref, lands, body), body, height_mm=3.0, limit_c=185.0)


@cache
def crowded() -> Case:
    """Return a quad among chips close by, a plastic connector, parts below and a lithium cell far off."""
    shell = square(13.5, 0, 5.0)
    connector = part(footprint("J1", (land("1", square(13.5, 0, 1)),), shell), shell, style="connector", limit_c=200.0)
    chips = [chip(f"C{i}", 9.6, -6 + 3 * i) for i in range(1, 4)]
    below = [chip(f"C{i}", 0, 3 * i - 36, bottom=True) for i in range(11, 14)]
    return case_of(quad("U1", 0, 0, 14.0), connector, *chips, *below, cell("BT1", 34, 34))


@cache
def spacious() -> Case:
    """Return the same quad with only sturdy chips, 16 mm and more off."""
    return case_of(quad("U1", 0, 0, 14.0), *(chip(f"C{i}", 25.0, 6.0 * i - 12) for i in range(1, 4)))
