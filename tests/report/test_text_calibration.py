"""The report of a calibration: what was taught, what is left, what went wrong."""

import pytest

from leeward.calibrate.calibration import Calibrated, ShieldTold
from leeward.heat.factors import NAMES
from leeward.report.as_json import plain
from leeward.report.calibration_documents import calibration_document
from leeward.report.screen import screen
from leeward.report.text_calibration import calibration_text
from report.calibrations import LOG, calibrated, channel, learnt

FOUR = (channel("T1", "used"), channel("T2", "came off", 190.0), channel("T3", "set aside"), channel("T4", "dead"))


def text_of(found: Calibrated) -> str:
    """Return the report as one line of words."""
    return " ".join(screen("x.txt").text(calibration_text(found)).split())


def test_the_verdict_names_log_date_and_gain() -> None:
    """The first sentence says with what the nozzle is calibrated, and how far off the model was and is."""
    text = text_of(calibrated(learnt(channel("T1", "used"), channel("T2", "used"))))
    assert (
        f"calibrated with log {LOG[:8]} of 2 March: over 2 channels the model was off by 12.0 C, now by 1.0 C." in text
    )


def test_every_factor_and_channel_has_a_row() -> None:
    """Factors stand with value and spread before and after, channels with their state and misfit."""
    found = calibrated(learnt(*FOUR))
    lines = screen("x.txt").text(calibration_text(found)).splitlines()
    factors = {line.split()[0]: line for line in lines if line.split()[:1] and line.split()[0] in NAMES}
    assert tuple(factors) == NAMES
    assert "1.00        40.0   1.30        11.9  yes   every board" in factors["air_h"]
    assert "this board" in factors["copper"]
    rows = {name: next(line for line in lines if line.startswith(name)) for name in ("T1", "T2", "T3", "T4")}
    assert "came off at 190 s" in rows["T2"]
    assert "set aside" in rows["T3"]
    assert "dead" in rows["T4"]


def test_probes_that_mislead_are_told_in_words() -> None:
    """What was left out, and why, stands under the log's notes."""
    text = text_of(calibrated(learnt(*FOUR)))
    assert "T2 (board at T2) left the board 190 s into the run" in text
    assert "T3 (board at T3) is off by far more than the others" in text
    assert "T4 (board at T4) shows next to nothing of the heat" in text
    assert "times are read as a clock" in text


@pytest.mark.parametrize("told", [NAMES, ("air_h", "heater")])
def test_what_the_log_cannot_tell_is_named(told: tuple[str, ...]) -> None:
    """Factors that were left alone are named; where none was, that is said."""
    text = text_of(calibrated(learnt(channel("T1", "used"), told=told)))
    assert ("nothing that it was asked" in text) == (told == NAMES)
    assert ("the air's flow" in text.split("What the log cannot tell")[1].split("What is left")[0]) == (told != NAMES)


def test_a_poor_fit_is_shown_and_not_hidden() -> None:
    """A misfit that is large stands first under what is left, with the channel that fits least."""
    poor = learnt(channel("T1", "used", after_c=3.0), channel("T2", "used", after_c=9.0), misfit_c=7.0)
    assert "What is left - The model does NOT follow this run, least on T2 (board at T2)" in text_of(calibrated(poor))
    assert "does NOT follow" not in text_of(calibrated(learnt(channel("T1", "used"))))


def test_shields_are_told_with_what_they_prove() -> None:
    """A probe behind a shield is told with gain and misfit, and whether the limit on credit is lifted."""
    good, bad = ShieldTold("T1", 40.0, 3.0, bears_out=True), ShieldTold("T1", 40.0, 25.0, bears_out=False)
    lifted = text_of(calibrated(learnt(channel("T1", "used")), good, shield_seen=True))
    assert "T1, behind a shield: computed to gain 40 C, read 3.0 C off while hot; this bears the model out" in lifted
    assert "Shields are credited in full from now on" in lifted
    kept = text_of(calibrated(learnt(channel("T1", "used")), bad))
    assert "this does not bear the model out" in kept
    assert "Shields stay credited with at most 20 C" in kept


def test_the_document_holds_the_same() -> None:
    """The JSON form has every factor, channel and history, and no figure that JSON cannot hold."""
    document = plain(calibration_document(calibrated(learnt(*FOUR, told=("air_h",)))))
    assert [entry["name"] for entry in document["factors"]] == list(NAMES)
    assert document["factors"][0]["after"] == 1.3
    assert document["untold"] == list(NAMES[1:])
    assert [entry["state"] for entry in document["channels"]] == ["used", "came off", "set aside", "dead"]
    assert document["channels"][1]["off_the_board_at_s"] == 190.0
    assert document["channels"][0]["history"] == {
        "time_s": [0.0, 1.0], "read_c": [24.0, 26.0], "before_c": [25.0, 25.0], "after_c": [25.5, 25.5],
    }  # fmt: skip
