"""Tests of `leeward bench`."""

from pathlib import Path

import pytest

from leeward.bench.read import default_text
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run


def test_the_default_bench_can_be_kept_and_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What `leeward bench` prints is the default file to the letter, and reads as a bench again."""
    assert run(["bench"]) == ExitCode.DONE
    printed = capsys.readouterr().out
    assert printed == default_text()
    kept = tmp_path / "bench.toml"
    kept.write_text(printed, encoding="utf-8")
    assert run(["bench", "--bench", str(kept)]) == ExitCode.DONE
    assert capsys.readouterr().out.startswith("default bench: ")


def test_a_mistake_in_a_bench_file_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown key exits with 3 and one line with the file and the key that was meant."""
    kept = tmp_path / "bench.toml"
    kept.write_text(default_text().replace("ambient_c", "ambiant_c", 1), encoding="utf-8")
    assert run(["bench", "--bench", str(kept)]) == ExitCode.INPUT
    told = capsys.readouterr().err
    assert told.startswith(str(kept))
    assert told.count("\n") == 1
    assert "ambient_c" in told


def test_the_bench_file_is_not_written_over(tmp_path: Path) -> None:
    """Summing up a bench file into itself is refused."""
    kept = tmp_path / "bench.toml"
    kept.write_text(default_text(), encoding="utf-8")
    assert run(["bench", "--bench", str(kept), "-o", str(kept)]) == ExitCode.USAGE
    assert kept.read_text(encoding="utf-8") == default_text()
