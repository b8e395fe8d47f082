"""Judge a solved case: every ranked list, the work order, the cautions. Nothing is solved here."""

from leeward.parts.records import Part
from leeward.review.cautions import cautions
from leeward.review.findings import findings
from leeward.review.loose import loose
from leeward.review.neighbours import neighbours
from leeward.review.odds import probability_above
from leeward.review.pads import pads, probability_solid
from leeward.review.records import Case, Review
from leeward.review.thermocouples import coldest, thermocouples
from leeward.review.work_order import work_order

HAND_TOOL_MM = 3.3  # chips of 1206 and smaller come off with heated tweezers; house rule


def judge(case: Case) -> Review:
    """Return the review of a case."""
    near = neighbours(case)
    lands = pads(case)
    moving = loose(case, near)
    places = thermocouples(case, near)
    target = case.target
    over = probability_above(
        case.heat.target_top_peak_c, target.limit_c.value, case.heat.bodies[target.id].spread_c, target.limit_spread_c
    )
    return Review(
        case=case,
        probability_melted=1.0 - probability_solid(case, coldest(case)),
        seconds_spread=case.heat.seconds_spread,
        target_over_limit=over,
        hand_tool=hand_tool(target, fits=case.loads.fit.fits),
        neighbours=near,
        pads=lands,
        loose=moving,
        thermocouples=places,
        work_order=work_order(case, near, places),
        findings=findings(case, near, lands, moving, over),
        cautions=cautions(case, near),
        not_assessed=case.parts.not_assessed,
    )


def hand_tool(target: Part, *, fits: bool) -> str | None:
    """Return why no nozzle will do, and what will; None where a nozzle serves."""
    style = target.lead_style.value
    if style == "end-cap" and max(target.body_mm.value) <= HAND_TOOL_MM:
        return "use hand tool: heated tweezers take a chip off in seconds and warm nothing else"
    if fits:
        return None
    if style in ("through-hole", "connector", "socket", "hardware"):
        return "use hand tool: no nozzle of the bench covers its joints at once"
    return "no nozzle of the bench fits as the board stands: clear the way first"
