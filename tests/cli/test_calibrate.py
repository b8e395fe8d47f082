"""`leeward calibrate` from the command line, on a small board with logs made by the model."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest

import leeward
from cli.boards import resistor, transistor, write_board
from leeward.bench.fit import Fixed
from leeward.bench.read import default_text, read_bench
from leeward.board.read import read
from leeward.calibrate.calibration import placed
from leeward.calibrate.lag import lagged
from leeward.calibrate.rig import rig, shown_in_full
from leeward.calibrate.run_file import read_run_file
from leeward.calibrate.shields_on import shelters
from leeward.calibrate.spots import spot_of
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.heat.factors import Factors
from leeward.heat.grid import Floats
from leeward.job import find_target, loads_of
from leeward.parts.identify import identify
from leeward.report.schemas import schema

FULL = os.environ.get("LEEWARD_FULL") == "1"
HIDDEN = Factors(air_h=1.3, reach=0.85, outlet=0.97, heater=1.2)
ROOM_C = 22.0
RUN = """
[[stages]]
name = "preheat"
seconds = 60
board_heater_c = 150

[[stages]]
name = "reflow"
seconds = 40
air_c = 340
flow_l_min = 8
board_heater_c = 150

[[stages]]
name = "cool"
seconds = 40

[[channels]]
name = "lead"
pad = "1"

[[channels]]
name = "R1"
ref = "R1"

[[channels]]
name = "near"
x_mm = 110.0
y_mm = 110.0
side = "top"

[[channels]]
name = "below"
x_mm = 115.0
y_mm = 112.0
side = "bottom"
"""
SHIELD = """
[[shields]]
kind = "cover"
side = "top"
material = "aluminium-foil"
gap_mm = 1.0
polygon = [[116.5, 107], [121, 107], [121, 113], [116.5, 113]]
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a board, a run file, a log of that run, and one of a run with a shield on."""
    place = tmp_path_factory.mktemp("calibrate")
    write_board(place, transistor(), resistor())
    (place / "run.toml").write_text(RUN, encoding="utf-8")
    (place / "shielded.toml").write_text(RUN + SHIELD, encoding="utf-8")
    for name in ("run", "shielded"):
        write_log(place / f"{name}.csv", readings(place, f"{name}.toml"))
    return place


def readings(place: Path, run_file: str, factors: Factors = HIDDEN) -> Floats:
    """Return what the probes of a run file read, once a second, (n, 4) C, by the full model with hidden factors."""
    board, bench = read(str(place / "lamp.kicad_pcb")), read_bench()
    parts, asked = identify(board), read_run_file(str(place / run_file))
    target = find_target(board, parts, "Q1")
    fit = placed(parts, target, bench, Fixed())
    loads = replace(
        loads_of(fit, target, bench, Factors()), ambient_c=ROOM_C, covers=shelters(asked.shields, bench, run_file)
    )
    spots = tuple(spot_of(channel, target, parts, run_file) for channel in asked.channels)
    truth = shown_in_full(rig(board, parts, target, loads, asked.stages, spots), factors)
    return lagged(truth, 2.0) + np.random.default_rng(7).normal(0, 0.5, truth.shape)


def write_log(path: Path, values: Floats) -> None:
    """Write readings as a logger does: clock times, semicolons, decimal commas."""
    rows = [
        f"12:{(180 + i) // 60:02d}:{(180 + i) % 60:02d};" + ";".join(f"{c:.1f}".replace(".", ",") for c in row)
        for i, row in enumerate(values)
    ]
    path.write_text("Time;lead [°C];R1 [°C];near [°C];below [°C]\n" + "\n".join(rows) + "\n", encoding="utf-8")


@pytest.fixture
def calibrate(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., ExitCode]:
    """Return a function that runs the command in the folder of the board."""
    monkeypatch.chdir(folder)

    def command(*arguments: str) -> ExitCode:
        return run(["calibrate", "lamp.kicad_pcb", "Q1", *arguments])

    return command


def test_a_log_is_fitted_written_and_used(
    calibrate: Callable[..., ExitCode], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The bench file gets the calibration, the report tells of it, and the next review says what it rests on."""
    bench = folder / "bench.toml"
    bench.write_text("# mine\n" + default_text(), encoding="utf-8")
    both = ("--bench", "bench.toml", "-o", "bench.toml")
    assert calibrate("run.csv", "--date", "2026-03-02", "--report", "told.json", *both) == ExitCode.DONE
    told = capsys.readouterr()
    assert told.out == ""
    assert "calibrated with log" in told.err
    assert "Factors on the model" in told.err
    assert bench.read_text(encoding="utf-8").startswith("# mine\n" + default_text())
    kept = read_bench("bench.toml").calibrations[0]
    assert kept.date == "2026-03-02"
    values = {factor.name: factor for factor in kept.factors}
    assert values["heater"].value == pytest.approx(1.2, rel=0.1)
    off = abs(np.log(values["air_h"].value / 1.3))
    assert off < max(np.log(1.1), 1.96 * np.log1p(values["air_h"].spread))
    document = json.loads((folder / "told.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, schema("calibration"))
    assert document["log_sha256"] == kept.logs[0]
    assert all(entry["off_after_c"] < entry["off_before_c"] for entry in document["channels"])

    review = ["review", "lamp.kicad_pcb", "Q1", "--nozzle", kept.nozzle, "--format", "json"]
    spreads = []
    for extra in ([], ["--bench", "bench.toml"]):
        assert run([*review, *extra]) == ExitCode.DONE
        found = json.loads(capsys.readouterr().out)["reviews"][0]
        spreads.append(found["heat"]["spread_c"])
    assert found["setup"]["calibration"]["logs"] == list(kept.logs)
    assert spreads[1] < spreads[0] / 2
    assert run(["review", "lamp.kicad_pcb", "Q1", "--nozzle", kept.nozzle, "--bench", "bench.toml"]) == ExitCode.DONE
    text = " ".join(capsys.readouterr().out.split())
    assert f"{kept.nozzle} is calibrated with log {kept.logs[0][:8]} of 2026-03-02 on this board" in text


def test_a_second_run_is_added_once(
    calibrate: Callable[..., ExitCode], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """--add builds on what is known and keeps both logs; the same log a second time is refused."""
    assert calibrate("run.csv", "--date", "monday", "-o", "one.toml") == ExitCode.DONE
    again = ("shielded.csv", "--date", "tuesday", "--add", "--bench", "one.toml", "-o", "two.toml")
    assert calibrate(*again) == ExitCode.DONE
    one, two = (read_bench(name).calibrations[0] for name in ("one.toml", "two.toml"))
    assert len(two.logs) == 2
    assert two.date == "tuesday"
    spread = [{factor.name: factor.spread for factor in entry.factors} for entry in (one, two)]
    assert spread[1]["air_h"] < spread[0]["air_h"]
    capsys.readouterr()
    assert calibrate("run.csv", "--date", "x", "--add", "--bench", "two.toml", "-o", "three.toml") == ExitCode.USAGE
    assert "is in the calibration of" in capsys.readouterr().err
    assert not (folder / "three.toml").exists()


def test_only_a_run_with_a_shield_that_did_its_work_lifts_the_credit(
    calibrate: Callable[..., ExitCode], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A shield that held off what was computed lifts the limit; one that did nothing, and none at all, do not."""
    assert calibrate("shielded.csv", "--date", "d", "-o", "good.toml") == ExitCode.DONE
    assert "bears the model out" in capsys.readouterr().err
    write_log(folder / "idle.csv", readings(folder, "run.toml"))
    told = calibrate("idle.csv", "--run", "shielded.toml", "--date", "d", "-o", "idle.toml")
    assert told == ExitCode.DONE
    assert calibrate("run.csv", "--date", "d", "-o", "bare.toml") == ExitCode.DONE
    seen = [read_bench(f"{name}.toml").calibrations[0].shield_seen for name in ("good", "idle", "bare")]
    assert seen == [True, False, False]


def test_a_plan_is_printed_and_its_run_file_reads_back(
    calibrate: Callable[..., ExitCode], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The plan names places, stages and cautions; as TOML it is the run file, as JSON it keeps its schema."""
    assert calibrate("--plan", "--channels", "3") == ExitCode.DONE
    text = capsys.readouterr().out
    for words in ("Thermocouples, the one that tells most first", "Run 1", "Cautions", "Lithium", "glue each bead"):
        assert words in text
    assert calibrate("--plan", "--channels", "3", "-o", "planned.toml") == ExitCode.DONE
    planned = read_run_file(str(folder / "planned.toml"))
    assert [channel.name for channel in planned.channels] == ["T1", "T2", "T3"]
    capsys.readouterr()
    assert calibrate("--plan", "--format", "json") == ExitCode.DONE
    document = json.loads(capsys.readouterr().out)
    jsonschema.validate(document, schema("calibration-plan"))
    assert len(document["probes"]) == 4


USAGE = {
    "no log": ((), "there is no log to calibrate with"),
    "no date": (("run.csv",), "the run has no date"),
    "a log and a plan": (("run.csv", "--plan"), "a plan is made without a log"),
    "a nozzle held": (("run.csv", "--date", "d", "--nozzle", "bore-4"), "--nozzle holds for a plan alone"),
    "over the log": (("run.csv", "--date", "d", "-o", "run.csv", "--format", "text"), "run.csv is an input"),
    "over the run file": (("run.csv", "--date", "d", "-o", "run.toml"), "run.toml is an input"),
    "an empty date": (("run.csv", "--date", " "), "a date has 1 to 40 signs"),
    "no channels": (("--plan", "--channels", "0"), "--channels"),
}


@pytest.mark.parametrize("case", list(USAGE))
def test_words_that_do_not_fit_are_refused(
    case: str, calibrate: Callable[..., ExitCode], capsys: pytest.CaptureFixture[str]
) -> None:
    """Each is one line on standard error, with the exit code of usage."""
    arguments, told = USAGE[case]
    assert calibrate(*arguments) == ExitCode.USAGE
    streams = capsys.readouterr()
    assert told in streams.err
    assert streams.err.count("\n") == 1
    assert streams.out == ""


def with_columns(values: Floats, order: list[int]) -> Floats:
    """Return readings with their columns in another order."""
    return values[:, order]


HOSTILE: dict[str, tuple[Callable[[Floats], Floats], str]] = {
    "Fahrenheit": (lambda read: read * 1.8 + 32, "look like Fahrenheit"),
    "swapped": (lambda read: with_columns(read, [0, 3, 2, 1]), "channels R1 and below read as if they were swapped"),
    "all at room temperature": (lambda read: np.full_like(read, ROOM_C), "no channel rises by 20 C"),
    "late": (lambda read: np.vstack([np.full((60, 4), ROOM_C), read]), "give start"),
    "one sample": (lambda read: read[:1], "a fit needs 10"),
    "NaN": (lambda read: np.full_like(read, np.nan), "a fit needs 10"),
}


@pytest.mark.parametrize("case", list(HOSTILE))
def test_a_hostile_log_is_one_clear_line(
    case: str, calibrate: Callable[..., ExitCode], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wrong units, swapped channels, no run, a late start and next to no samples end in one line with the file."""
    turned, told = HOSTILE[case]
    write_log(folder / "hostile.csv", turned(readings(folder, "run.toml")))
    assert calibrate("hostile.csv", "--run", "run.toml", "--date", "d") == ExitCode.INPUT
    streams = capsys.readouterr()
    assert told in streams.err
    assert streams.err.startswith("hostile.csv")
    assert streams.err.count("\n") == 1
    assert streams.out == ""


def test_a_log_of_millions_of_rows_is_fitted_in_little_time_and_memory(folder: Path) -> None:
    """Ten million rows (a million without LEEWARD_FULL) give a sound fit; ten seconds and 1 GiB on an idle machine."""
    rows = 10_000_000 if FULL else 1_000_000
    values, path = readings(folder, "run.toml"), folder / "long.csv"
    each = rows // len(values)
    with path.open("w", encoding="utf-8") as file:
        file.write("time,lead,R1,near,below\n")
        for second, row in enumerate(values):
            cells = ",".join(f"{value:.2f}" for value in row)
            file.write("".join(f"{second + i / each:.5f},{cells}\n" for i in range(each)))
    command = [sys.executable, "-c", MEASURED, "calibrate", "lamp.kicad_pcb", "Q1", "long.csv"]
    started = time.monotonic()
    command += ["--run", "run.toml", "--date", "d"]
    done = subprocess.run(command, cwd=folder, env=ENVIRONMENT, capture_output=True, text=True, check=False)
    seconds = time.monotonic() - started
    path.unlink()
    assert done.returncode == ExitCode.DONE, done.stderr
    assert "is no sample" not in done.stdout
    assert "th was read" in done.stdout
    assert int(done.stderr.rsplit("peak KiB ", 1)[1]) < 2**20
    assert seconds < 60  # a guard: other work may share the machine


ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(leeward.__file__).parents[1])}
# The greatest memory of the process's own: ru_maxrss also counts what the test's process held when it started this one.
MEASURED = """
import re, resource, sys
from pathlib import Path
from leeward.cli.main import run
code = run(sys.argv[1:])
status = Path("/proc/self/status")
own = re.search(r"VmHWM:\\s+([0-9]+) kB", status.read_text()) if status.exists() else None
sys.stderr.write(f"peak KiB {own[1] if own else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}")
sys.exit(code)
"""
