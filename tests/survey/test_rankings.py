"""The three rankings of targets."""

from dataclasses import replace

from leeward.survey.rankings import TIGHT_MM, level, levels, ranked
from leeward.survey.records import Nozzle, Target
from surveys import HEAT, U1, survey

FITS = Nozzle("quad-14x14", fits=True, gap_mm=TIGHT_MM, blocked_by=(), why="")


def target(**values: object) -> Target:
    """Return U1 as a target of low standing, some fields as given."""
    calm = replace(HEAT, nearby=(HEAT.nearby[1],))
    return replace(Target(U1, "low", None, FITS, calm, ()), **values)  # type: ignore[arg-type]  # fields, by name


def test_shielding_need_is_by_the_worst_neighbour() -> None:
    """A neighbour at high risk is high, one that only wants a shield medium, none low, no heat no place."""
    wants = replace(HEAT.nearby[0], priority="medium")
    assert level(target(heat=HEAT), "shielding") == "high"
    assert level(target(heat=replace(HEAT, nearby=(wants,))), "shielding") == "medium"
    assert level(target(), "shielding") == "low"
    assert level(target(heat=None), "shielding") is None


def test_clearance_is_by_what_the_best_nozzle_has_to_spare() -> None:
    """No nozzle is high, little room medium, enough or nothing near low; heat is not asked for."""
    assert level(target(nozzle=replace(FITS, fits=False), heat=None), "clearance") == "high"
    assert level(target(nozzle=replace(FITS, gap_mm=TIGHT_MM - 0.01)), "clearance") == "medium"
    assert level(target(), "clearance") == "low"
    assert level(target(nozzle=replace(FITS, gap_mm=None)), "clearance") == "low"


def test_lift_risk_is_by_the_worst_land() -> None:
    """The level is that of the likeliest land to lift; without lands it is low."""
    worse = replace(HEAT.lands[0], priority="medium")
    assert level(target(heat=replace(HEAT, lands=(HEAT.lands[0], worse))), "lift") == "medium"
    assert level(target(heat=replace(HEAT, lands=())), "lift") == "low"


def test_the_worst_come_first_and_hand_work_has_no_place() -> None:
    """Targets are ordered by level, then by the ranking's own figure; chips for tweezers are in none of the three."""
    made = survey()
    assert [found.part.ref for found, _ in ranked(made, "clearance")] == ["D3", "C2", "U1"]
    assert [(found.part.ref, place) for found, place in ranked(made, "shielding")] == [("U1", "high"), ("C2", "high")]
    assert levels(made)["clearance"] == {"id-D3": "high", "id-U1": "low", "id-C2": "low"}
    chip = replace(made.targets[2].part, lead_style=replace(U1.lead_style, value="end-cap"),
                   body_mm=replace(U1.body_mm, value=(1.0, 0.5)))  # fmt: skip
    by_hand = replace(made.targets[0], part=chip)
    assert [level(by_hand, name) for name in ("shielding", "clearance", "lift")] == [None, None, None]
