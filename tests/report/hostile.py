"""A board whose every name tries to break out of the report."""

from dataclasses import replace

from builders import board, case, finding, part, review, sequence, strip
from leeward.report.sheet import JobSheet, job_sheet
from leeward.review.records import Step, Thermocouple
from leeward.shields.records import ShieldPlan

REF = "U<script>alert('ref')</script>"
VALUE = "\"'><img src=x onerror=alert('value')>"
NET = "</td></table><svg onload=alert('net')>{{ 7*7 }}{% raw %}"
NOTE = "</style></script><!-- &lt; \u202e note \x00\x1b[2J \ud800 -->"


def hostile_sheet() -> JobSheet:
    """Return the sheet of a review in which references, values, nets, notes and the file's name are hostile."""
    target, near = part(REF), part(VALUE, 26.0)
    target = replace(target, footprint=replace(target.footprint, id=f'id"><b>{REF}', value=VALUE, library_id=NET))
    near = replace(near, footprint=replace(near.footprint, id=NOTE, value=NET))
    laid = ShieldPlan((replace(strip(), covers=(near.id,), why=NOTE),), {}, {}, {})
    plain = review(replace(case(target, (near,)), shields=laid))
    judged = replace(
        plain,
        pads=tuple(replace(pad, net=NET, number=VALUE) for pad in plain.pads),
        work_order=(Step(1, f"Lift {REF}.", NOTE),),
        thermocouples=(Thermocouple(19.0, 20.0, "top", REF, NOTE),),
        findings=(replace(finding(), refs=(REF, VALUE), remedy=NET, source=NOTE),),
        cautions=(NOTE,),
    )
    return job_sheet(board(f"{VALUE}.kicad_pcb", notes=(NOTE,)), [judged], sequence(judged))
