"""What reports say of the bench that a case rests on."""

from builders import case, review
from leeward.report.bench_words import calibrated_with, credited
from leeward.report.review_documents import target_review
from leeward.report.screen import screen
from leeward.report.text_bench import bench_text
from leeward.report.text_review import worth
from report.calibrations import LOG, calibrated_case


def test_an_uncalibrated_bench_is_called_so() -> None:
    """Without a calibration the spread is told with that, and shields are credited with the limit."""
    assert calibrated_with(case()) == "your bench is not calibrated"
    assert credited(case()) == "with at most 20 C: your bench is not calibrated"


def test_a_calibrated_nozzle_is_told_with_its_log() -> None:
    """Log, date, board and misfit are named, in the review's text and in its JSON."""
    words = calibrated_with(calibrated_case())
    assert f"is calibrated with log {LOG[:8]} of 2 March on this board, which it fits to 1.4 C" in words
    text = " ".join(screen("x.txt").text(worth(review(calibrated_case()))).split())
    assert words in text
    used = target_review(review(calibrated_case()), ()).setup.calibration
    assert used is not None
    assert (used.date, tuple(used.logs), used.same_board) == ("2 March", (LOG,), True)
    assert target_review(review(case()), ()).setup.calibration is None


def test_credit_is_limited_until_a_shield_was_seen() -> None:
    """A calibration alone keeps the limit, and says why; one with a shield lifts it, to null in the JSON."""
    assert credited(calibrated_case()).startswith("with at most 20 C: no run with a shield on")
    assert credited(calibrated_case(shield_seen=True)) == "in full: a run with a shield on bore the model out"
    limit = target_review(review(calibrated_case()), ()).shielding.credit_c
    lifted = target_review(review(calibrated_case(shield_seen=True)), ()).shielding.credit_c
    assert limit == 20.0
    assert lifted == float("inf")  # which the writer turns into null


def test_the_summary_of_a_bench_lists_its_calibrations() -> None:
    """`leeward bench --bench FILE` tells which nozzles are calibrated, with what."""
    bench = calibrated_case().bench
    text = screen("x.txt").text(bench_text(bench))
    row = next(line for line in text.splitlines() if LOG[:8] in line)
    assert row.split()[0] == bench.calibrations[0].nozzle
    assert "air_h 1.30 (6.0 %)" in row
    assert "Calibrations" not in screen("x.txt").text(bench_text(case().bench))
