"""Lands that the layout makes hard to rework."""

from dataclasses import replace

from builders import pad, pad_risk
from leeward.survey.judge import Verdict
from leeward.survey.weak_lands import SMALL_MM2, loose_pads


def test_small_lands_that_no_copper_leaves_are_loose() -> None:
    """Up to 1 mm2, the weakest first; a larger land is held by its own area, one with a trace by that."""
    like = replace(pad_risk(pad("1", 0, 0)), unconnected=True, area_mm2=0.5)
    found = (
        replace(like, number="1", capability_n=0.9),
        replace(like, number="2", capability_n=0.3),
        replace(like, number="3", area_mm2=SMALL_MM2),
        replace(like, number="4", area_mm2=SMALL_MM2 + 0.01),
        replace(like, number="5", unconnected=False),
    )
    loose = loose_pads(Verdict((), (), found, (), (), (), ()))
    assert [entry.number for entry in loose] == ["2", "1", "3"]
