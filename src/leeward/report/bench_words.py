"""What is known of the bench, in words: calibrated with what, and how far shields are believed."""

from leeward.bench.records import Calibration
from leeward.constants import number
from leeward.report.wording import figure
from leeward.review.records import Case

UNCALIBRATED = "your bench is not calibrated"
HASH_SIGNS = 8  # of a log's SHA-256 are shown


def calibration_of(case: Case) -> Calibration | None:
    """Return the calibration of the nozzle that a case is worked with."""
    return case.bench.calibration_of(case.loads.fit.nozzle.id)


def calibrated_with(case: Case) -> str:
    """Return what the nozzle is calibrated with, or that it is not."""
    calibration = calibration_of(case)
    if calibration is None:
        return UNCALIBRATED
    logs = ", ".join(log[:HASH_SIGNS] for log in calibration.logs)
    word = "log" if len(calibration.logs) == 1 else "logs"
    board = "this board" if calibration.board == case.board.sha256 else "another board"
    repeats = "; one run does not tell how well runs repeat" if len(calibration.logs) == 1 else ""
    return (
        f"nozzle {calibration.nozzle} is calibrated with {word} {logs} of {calibration.date} on {board}, which it fits "
        f"to {figure(calibration.misfit_c, 1)} C{repeats}"
    )


def credited(case: Case) -> str:
    """Return how far a shield is credited, and why, as the end of a sentence."""
    calibration, most = calibration_of(case), figure(number("covers", "credit", "most_c"))
    if calibration is None:
        return f"with at most {most} C: {UNCALIBRATED}"
    if calibration.shield_seen:
        return "in full: a run with a shield on bore the model out"
    return f"with at most {most} C: no run with a shield on is among the nozzle's calibration"
