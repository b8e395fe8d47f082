"""Judge a solved case: every ranked list, the work order, the cautions. Nothing is solved here."""

from leeward.parts.records import Part
from leeward.review.after_lift import after_lift
from leeward.review.anchors import anchors
from leeward.review.cautions import cautions
from leeward.review.findings import findings
from leeward.review.joints import joints
from leeward.review.laminate import laminate
from leeward.review.lift import lift
from leeward.review.loose import loose
from leeward.review.neighbours import neighbours
from leeward.review.odds import probability_solid, probability_target_over
from leeward.review.opposite import opposite
from leeward.review.pads import lands, pads
from leeward.review.records import Case, Review
from leeward.review.thermocouples import coldest, thermocouples
from leeward.review.ties import ties
from leeward.review.work_order import work_order

HAND_TOOL_MM = 3.3  # chips of 1206 and smaller come off with heated tweezers; house rule


def judge(case: Case) -> Review:
    """Return the review of a case."""
    near = neighbours(case)
    side = case.target.footprint.side
    own = lands(case)
    held = anchors(case.board, own, side)
    made_of = laminate(case.board, case.bench, side)
    melting = joints(case, ties(case.board, own, held, side))
    ranked = pads(case, made_of, held)
    lifting = lift(case, made_of)
    moving = loose(case, near)
    below = opposite(case, own, held)
    after = after_lift(case, ranked, held, near)
    places = thermocouples(case, near)
    over = probability_target_over(case)
    return Review(
        case=case,
        probability_melted=1.0 - probability_solid(case, coldest(case)),
        target_over_limit=over,
        hand_tool=hand_tool(case.target, fits=case.loads.fit.fits),
        neighbours=near,
        laminate=made_of,
        joints=melting,
        pads=ranked,
        lift=lifting,
        loose=moving,
        opposite=below,
        after_lift=after,
        thermocouples=places,
        work_order=work_order(case, near, places, melting[0], lifting, below, after),
        findings=findings(case, near, melting, ranked, lifting, moving, below, over),
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
