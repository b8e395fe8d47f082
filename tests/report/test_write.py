"""Tests of leeward.report.write."""

import io
import os
import stat
import sys
from pathlib import Path

import pytest

from leeward.errors import OutputError, UsageError
from leeward.report.write import refuse_inputs, write


def test_a_file_is_written_whole_and_alone(tmp_path: Path) -> None:
    """The text stands in the file as UTF-8, and nothing is left beside it."""
    write("17 °C\n", str(tmp_path / "out.txt"))
    assert (tmp_path / "out.txt").read_bytes() == "17 °C\n".encode()
    assert [path.name for path in tmp_path.iterdir()] == ["out.txt"]


def test_bytes_are_written_as_they_are(tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """A PDF's bytes go to a file and to standard output unchanged."""
    data = bytes(range(256))
    write(data, str(tmp_path / "out.pdf"))
    assert (tmp_path / "out.pdf").read_bytes() == data
    write(data, None)
    assert capfdbinary.readouterr().out == data


def test_a_file_that_is_replaced_is_never_half(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the rename fails the old file stays as it was, and no piece is left beside it."""
    target = tmp_path / "out.txt"
    target.write_text("old", encoding="utf-8")

    def fail(_self: Path, _target: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(OutputError, match="No space left"):
        write("new", str(target))
    assert target.read_text(encoding="utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["out.txt"]


def test_permissions_are_those_of_any_new_file(tmp_path: Path) -> None:
    """A new file follows the user's mask; one that is replaced keeps its own permissions."""
    plain, written, kept = (tmp_path / name for name in ("plain", "written", "kept"))
    plain.write_text("", encoding="utf-8")
    kept.write_text("", encoding="utf-8")
    kept.chmod(0o600)
    write("x", str(written))
    write("x", str(kept))
    assert stat.S_IMODE(written.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Writing to a link replaces what it names."""
    (tmp_path / "real.txt").write_text("old", encoding="utf-8")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write("new", str(tmp_path / "link.txt"))
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text(encoding="utf-8") == "new"


@pytest.mark.parametrize("name", ["no/such/folder/out.txt", ".", "nul\0.txt", "x" * 300])
def test_what_cannot_be_written_is_told(tmp_path: Path, name: str) -> None:
    """A missing folder, a folder, an impossible name and one that is too long are output errors with the place."""
    with pytest.raises(OutputError, match="cannot write"):
        write("x", str(tmp_path / name))
    assert list(tmp_path.iterdir()) == []


def test_a_device_is_written_through() -> None:
    """A device is not renamed onto."""
    write("x", os.devnull)
    assert stat.S_ISCHR(Path(os.devnull).stat().st_mode)


@pytest.mark.parametrize("output", [None, "-"])
def test_standard_output_is_the_default(output: str | None, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a name, or with a dash, the text goes to standard output."""
    write("result\n", output)
    assert capsys.readouterr().out == "result\n"


class Gone(io.StringIO):
    """A stream whose reader has gone away."""

    def flush(self) -> None:
        """Fail as a closed pipe does."""
        raise BrokenPipeError


class Full(io.StringIO):
    """A stream on a full disk."""

    def flush(self) -> None:
        """Fail as a full disk does."""
        raise OSError(28, "No space left on device")


def test_a_reader_that_went_away_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """A broken pipe is quiet."""
    stream = Gone()
    monkeypatch.setattr(sys, "stdout", stream)
    write("x", None)
    assert stream.getvalue() == "x"


def test_a_full_disk_and_a_closed_stream_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Standard output that takes nothing is an output error."""
    monkeypatch.setattr(sys, "stdout", Full())
    with pytest.raises(OutputError, match="No space left"):
        write("x", None)
    monkeypatch.setattr(sys, "stdout", None)
    with pytest.raises(OutputError, match="closed"):
        write("x", None)


def test_an_input_is_refused_by_any_name(tmp_path: Path) -> None:
    """The same file by another path, a symbolic or a hard link, is refused; another file is not."""
    source = tmp_path / "board.kicad_pcb"
    source.write_text("board", encoding="utf-8")
    (tmp_path / "soft").symlink_to(source)
    (tmp_path / "hard").hardlink_to(source)
    for name in ("board.kicad_pcb", "../" + tmp_path.name + "/board.kicad_pcb", "soft", "hard"):
        with pytest.raises(UsageError, match="is an input"):
            refuse_inputs(str(tmp_path / name), [None, str(source)])
    refuse_inputs(str(tmp_path / "other"), [None, str(source)])
    refuse_inputs(None, [str(source)])
