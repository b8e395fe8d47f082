"""A run file to fill in: the probes and the stages of a plan, as a run with them would be written down."""

import json
from collections.abc import Iterator

from leeward.bench.records import Stage
from leeward.calibrate.plan import Placed, Plan
from leeward.calibrate.spots import Spot
from leeward.parts.records import Parts

HEAD = """\
# A thermocouple run on {ref}, as planned. Put in what was really set, name the channels as the log's header does,
# and give the file back: leeward calibrate BOARD {ref} LOG.csv --run THIS_FILE --date DATE --bench bench.toml
nozzle = {nozzle}
rotation_deg = {turn:g}
standoff_mm = {standoff:g}
# ambient_c = 22                # the room; what the cold board reads if not given
# start = "12:03:05"            # what the log's time said as the first stage began; its first sample if not given
# degrees = "F"                 # where the log does not say its unit; C if not given
"""
SHIELDS = """
# [[shields]]                   # what was on, if anything was: "cover", "fence" (the area behind it) or "gel"
# kind = "cover"
# side = "top"
# material = "aluminium-foil"   # as the bench file names it
# gap_mm = 1.0                  # air under it, 0 where it lies flush
# polygon = [[0, 0], [5, 0], [5, 5], [0, 5]]
"""


def run_skeleton(plan: Plan, parts: Parts, ref: str) -> str:
    """Return the text of the run file of a plan's first run."""
    fit = plan.loads.fit
    head = HEAD.format(ref=ref, nozzle=json.dumps(fit.nozzle.id), turn=fit.rotation_deg, standoff=fit.standoff_mm)
    stages = "".join(_stage(stage) for stage in plan.runs[0].stages)
    return head + stages + "".join(_channel(entry, parts) for entry in plan.probes) + SHIELDS


def _stage(stage: Stage) -> str:
    return "\n[[stages]]\n" + "".join(f"{line}\n" for line in _stage_lines(stage))


def _stage_lines(stage: Stage) -> Iterator[str]:
    yield f"name = {json.dumps(stage.name)}"
    yield f"seconds = {stage.seconds:g}"
    settings = (("air_c", stage.air_c), ("flow_l_min", stage.flow_l_min), ("board_heater_c", stage.board_heater_c))
    yield from (f"{name} = {value:g}" for name, value in settings if value is not None)


def _channel(entry: Placed, parts: Parts) -> str:
    told = f"\n[[channels]]  # {entry.spot.on}\nname = {json.dumps(entry.name)}\n"
    return told + "".join(f"{line}\n" for line in _place(entry.spot, parts))


def _place(spot: Spot, parts: Parts) -> Iterator[str]:
    if spot.part_id is None:
        yield from (f"x_mm = {spot.x_mm:g}", f"y_mm = {spot.y_mm:g}", f"side = {json.dumps(spot.side)}")
        return
    ref = parts.by_id[spot.part_id].ref
    alone = sum(part.ref == ref for part in parts.by_id.values()) == 1
    yield f"ref = {json.dumps(ref if alone else spot.part_id)}"
    if spot.pad is not None:
        yield f"pad = {json.dumps(spot.pad)}"
