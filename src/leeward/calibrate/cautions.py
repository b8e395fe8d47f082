"""What to heed when a board is heated with thermocouples on it."""

from leeward.parts.records import Parts
from leeward.review.cautions import ALWAYS

RUN = (
    "Board: take a scrap board of like copper, power off, capacitors discharged.",
    "Board: fix it so that it cannot move, held at three points or more.",
    "Probes: glue each bead down or hold it with polyimide tape, and tie its wires so that no pull reaches it.",
    "Probes: on a joint the bead sits under the lead or in the joint's solder, not in the air beside it.",
    "Nozzle: lead the wires out under the walls and check the stand-off; they must not lift the nozzle.",
    "Lithium: no cell on the board, charged or empty.",
    "Displays, double-layer and electrolytic capacitors come off first.",
    "Stay with it: stop at smoke, a blister or a smell; laminate heated past 260 C swells and gives off fume.",
    "Log from the cold board to the end of cooling, once a second or faster; note its time as the first stage begins.",
)


def run_cautions(parts: Parts) -> tuple[str, ...]:
    """Return the cautions of a thermocouple run, cells of this board by name."""
    cells = [part.ref for part in parts.by_id.values() if part.footprint.fitted and "lithium-cell" in part.hazards]
    named = (f"This board has lithium cells: take {', '.join(sorted(cells))} out before any heat.",) if cells else ()
    return (*named, *RUN, *ALWAYS)
