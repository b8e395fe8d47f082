"""The steps of a job in words."""

from dataclasses import replace

import shapely

from builders import case
from leeward.bench.records import Stage
from leeward.review.judge import judge
from leeward.review.records import Case


def steps(solved: Case) -> str:
    """Return all steps as one text."""
    return "\n".join(step.do for step in judge(solved).work_order)


def test_air_that_leads_up_to_reflow_is_told() -> None:
    """A preheat and a soak with air say its temperature and flow; without air they say so."""
    solved = case()
    stages = (
        Stage("preheat", 90.0, board_heater_c=150.0),
        Stage("soak", 60.0, air_c=240.0, flow_l_min=17.5, board_heater_c=150.0),
        *solved.recipe.stages[2:],
    )
    answer = replace(solved.answer, recipe=replace(solved.recipe, stages=stages))
    told = steps(replace(solved, answer=answer))
    assert "Preheat: 90 s, board heater at 150 C, no air." in told
    assert "Soak: 60 s, board heater at 150 C, air at 240 C, 17.5 l/min." in told


def test_a_moved_bore_is_not_to_stand_still() -> None:
    """Of a bore that is moved over the part the step says so, and not how it is turned."""
    solved = case()
    fit = replace(solved.loads.fit, path=shapely.box(16, 16, 24, 24).exterior)
    told = steps(replace(solved, loads=replace(solved.loads, fit=fit)))
    assert "moved round over the joints without a stop" in told
    assert "turned" not in next(line for line in told.splitlines() if line.startswith("Nozzle"))
