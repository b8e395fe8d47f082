"""Invented surveys of the builders' lamp driver board, for tests of the reports."""

from dataclasses import replace

from builders import board, finding, part, parts_of
from leeward.known import NotAssessed
from leeward.review.records import Finding
from leeward.survey.made import made
from leeward.survey.records import Land, Nearby, Nozzle, Survey, Target, TargetHeat, UnusedWaiver, Waiver

U1, C2, D3 = part("U1"), part("C2", 14.0, sure="low"), part("D3", 20.0, side="bottom")
HEAT = TargetHeat(
    nearby=(
        Nearby("id-C2", "C2", "top", 1.23456, 231.26, None, 245.0, 13.74, 0.25, 0.0, ("barrier",), "high"),
        Nearby("id-D3", "D3", "bottom", 0.0, 160.0, 158.0, 245.0, 42.0, 0.001, 0.001, ("none",), "low"),
    ),
    coldest_pad="2",
    coldest_c=230.04,
    reaches_reflow=True,
    seconds_to_melt=47.26,
    top_peak_c=241.26,
    lift_risk=0.0151,
    lands=(Land("1", "LAMP", 0.9, 1.5, 0.5, 0.0151, ("trace 0.25 mm",), "low"),),
)


def heavy() -> Finding:
    """Return a finding about D3 alone."""
    return made("heavy-on-second-side", (D3,), "part lost", 0.1, {"ratio": 0.8})


def survey(*findings: Finding, file: str = "lamp.kicad_pcb") -> Survey:
    """Return the survey of the lamp driver: U1 solved, C2 taken off by hand, D3 without a nozzle."""
    found = findings or (finding(), replace(heavy(), waived="glued on"))
    keys = {ref: tuple(each.key for each in found if f"id-{ref}" in each.parts) for ref in ("U1", "C2", "D3")}
    fits = Nozzle("quad-14x14", fits=True, gap_mm=1.2, blocked_by=(), why="takes the leads")
    none = Nozzle(None, fits=False, gap_mm=None, blocked_by=("id-U1",), why="the bench has no nozzle for such a part")
    return Survey(
        board=board(file),
        parts=parts_of(U1, C2, D3),
        profile="physics",
        geometry_only=False,
        targets=(
            Target(U1, "high", None, fits, HEAT, keys["U1"]),
            Target(D3, "low", None, none, None, keys["D3"]),
            Target(C2, "low", "use hand tool: tweezers", fits, HEAT, keys["C2"]),
        ),
        findings=found,
        known_before=3,
        unused_waivers=(UnusedWaiver(Waiver("wall-too-close", ("U9",), "gone"), "no such finding"),),
        not_assessed=(NotAssessed("id-H1", "H1", "mounting hole"),),
    )
