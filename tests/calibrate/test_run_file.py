"""Run files: where the probes sat and what was set."""

from pathlib import Path

import pytest

from leeward.calibrate.run_file import read_run_file
from leeward.errors import InputError

WHOLE = """
nozzle = "quad-14x14"
start = "12:03:05"
ambient_c = 22

[[stages]]
name = "preheat"
seconds = 90
board_heater_c = 150

[[stages]]
name = "reflow"
seconds = 60
air_c = 340
flow_l_min = 15

[[channels]]
name = "T1"
pad = 7

[[channels]]
name = "T2"
ref = "C12"

[[channels]]
name = "T3"
x_mm = 4.0
y_mm = 2.5
side = "bottom"

[[shields]]
kind = "fence"
side = "top"
polygon = [[0, 0], [4, 0], [4, 4]]
"""


def file_of(folder: Path, text: str) -> str:
    """Write a run file and return its path."""
    path = folder / "run.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_run_file_is_read_whole(tmp_path: Path) -> None:
    """Probes on a pad, a part and the board, stages, a shield and the start are what the file says."""
    run = read_run_file(file_of(tmp_path, WHOLE))
    assert run.start_s == 12 * 3600 + 185
    assert [channel.pad for channel in run.channels] == ["7", None, None]
    assert [stage.air_c for stage in run.stages] == [None, 340.0]
    assert run.shields[0].kind == "fence"


WRONG = {
    "a probe nowhere": ('pad = 7', "", "channel T1 sits on a pad, on a ref, or at x_mm, y_mm and side"),
    "a probe in two places": ("pad = 7", "pad = 7\nx_mm = 1.0", "channel T1 sits on a pad"),
    "half a place": ("y_mm = 2.5\n", "", "channel T3 sits on"),
    "two channels of a name": ('"T2"', '"t1"', "two channels are named t1"),
    "air without flow": ("flow_l_min = 15\n", "", "stage reflow gives air_c or flow_l_min alone"),
    "a key misspelt": ("seconds = 60", "second = 60", "unknown key stages.1.second, nearest seconds"),
    "a stage of another name": ('"reflow"', '"blast"', "stages.1.name"),
    "no time at all": ('"12:03:05"', '"noon"', "start is a time as the log has it"),
    "not TOML": ("nozzle =", "nozzle = =", "not TOML"),
    "a cover of nothing": ('kind = "fence"', 'kind = "cover"', "a cover names its material"),
    "seconds that are no number": ("seconds = 60", "seconds = nan", "stages.1.seconds"),
}  # fmt: skip


@pytest.mark.parametrize("fault", list(WRONG))
def test_what_is_wrong_is_named(fault: str, tmp_path: Path) -> None:
    """Each fault is one line with the file's name and the entry."""
    old, new, told = WRONG[fault]
    assert old in WHOLE
    path = file_of(tmp_path, WHOLE.replace(old, new, 1))
    with pytest.raises(InputError, match=told) as refused:
        read_run_file(path)
    assert str(refused.value).startswith(path)
    assert "\n" not in str(refused.value)


def test_a_missing_run_file_says_how_to_get_one(tmp_path: Path) -> None:
    """Without a run file the message tells of --plan, which writes one."""
    with pytest.raises(InputError, match=r"--plan -o FILE\.toml writes one"):
        read_run_file(str(tmp_path / "none.toml"))
