"""What a lifted land is measured against, and what may hang on the second side: published thresholds.

IPC-A-610G: a land whose outer lower edge is lifted by more than one land thickness is a defect in every class
(iconnect007.com, article 108323). J-STD-001B 9.2.1.1 has the same rule, and that a lifted land must keep the minimum
electrical spacing (listserv.ipc.org, TechNet of October 1997, message 314529). 30 g to the square inch is the practice
limit for parts on the second side (surfacemountprocess.com).
"""

from dataclasses import replace

import pytest
import shapely

from builders import case, review, sequence
from leeward.constants import number
from leeward.report.screen import screen
from leeward.report.text_review import review_text
from leeward.review.after_lift import after_lift
from leeward.review.anchors import Anchors
from leeward.review.neighbours import drop_ratio
from thermal_boards import footprint, land, part

INCH_MM = 25.4


def test_the_inspection_list_names_threshold_and_standards() -> None:
    """More than one land thickness, a defect in every class, by IPC-A-610G and J-STD-001B; spacing by the same."""
    points = after_lift(case(), [], (Anchors(), Anchors()), []).inspect
    edge = points[0]
    assert edge.what.startswith("Outer lower edge of each land")
    assert edge.against == "lifted by more than one land thickness (0.035 mm): a defect in every class"
    for name in ("IPC-A-610G", "J-STD-001B 9.2.1.1"):
        assert name in edge.source
    spacing = next(point for point in points if "another net" in point.what)
    assert "minimum electrical spacing" in spacing.against
    assert "J-STD-001B 9.2.1.1" in spacing.source


def test_the_standards_reach_the_report() -> None:
    """The printed review carries the rule with both documents."""
    judged = review()
    judged = replace(judged, after_lift=after_lift(judged.case, judged.pads, (Anchors(), Anchors()), []))
    told = " ".join(screen("x.txt").text(review_text([judged], sequence(judged), (), everything=True)).split())
    assert "lifted by more than one land thickness (0.035 mm): a defect in every class (IPC-A-610G;" in told
    assert "J-STD-001B 9.2.1.1" in told


def test_thirty_grams_to_the_square_inch() -> None:
    """30 g over 25.4 mm squared is 46.5 mg/mm2, the limit in use."""
    assert pytest.approx(46.5, abs=0.01) == 30e3 / INCH_MM**2
    assert number("lift", "loose", "drop_mg_mm2") == pytest.approx(30e3 / INCH_MM**2, rel=1e-3)


def test_a_square_inch_of_land_carries_thirty_grams() -> None:
    """A part of 30 g on one square inch of land is just at the limit."""
    inch = shapely.box(0, 0, INCH_MM, INCH_MM)
    heavy = part(footprint("T1", (land("1", inch),), inch), inch)
    at_limit = replace(heavy, mass_mg=replace(heavy.mass_mg, value=30e3))
    assert drop_ratio(at_limit) == pytest.approx(1.0, rel=1e-3)
