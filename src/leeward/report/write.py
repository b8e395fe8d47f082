"""Where a result goes: to standard output, or to a file that is never half written."""

import contextlib
import os
import stat
import sys
from collections.abc import Iterable
from pathlib import Path
from tempfile import NamedTemporaryFile

from leeward.errors import OutputError, Place, UsageError

STDOUT = "-"


def refuse_inputs(output: str | None, inputs: Iterable[str | None]) -> None:
    """Raise UsageError where the output is a file that is read."""
    given = [path for path in inputs if path is not None]
    if output is None or output == STDOUT:
        return
    for path in given:
        if _same(output, path):
            raise UsageError(f"{output} is an input", do="name another file for the output")


def write(result: str | bytes, output: str | None) -> None:
    """Write a result to a file, or to standard output for None and "-". Raises OutputError."""
    if output is None or output == STDOUT:
        _to_stdout(result)
    else:
        _to_file(result if isinstance(result, bytes) else result.encode("utf-8", "backslashreplace"), output)


def _same(output: str, path: str) -> bool:
    try:
        return Path(output).samefile(path)
    except (OSError, ValueError):  # one of them does not exist
        return False


def _to_stdout(result: str | bytes) -> None:
    """Write to standard output; a reader that has gone away is no fault."""
    if sys.stdout is None:
        raise OutputError("standard output is closed", do="give -o FILE")
    try:
        _stream(result)
        sys.stdout.flush()
    except BrokenPipeError:
        _to_nowhere()
    except OSError as error:
        _to_nowhere()
        raise OutputError(
            f"cannot write to standard output: {_reason(error)}", do="free the place or give -o FILE"
        ) from error


def _stream(result: str | bytes) -> None:
    if isinstance(result, bytes):
        sys.stdout.buffer.write(result)
    else:
        sys.stdout.write(result)


def _to_nowhere() -> None:
    """Point standard output at nothing, so that the interpreter's last flush does not fail again."""
    with contextlib.suppress(OSError, ValueError):  # a stream without a descriptor has nothing to flush
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def _to_file(data: bytes, output: str) -> None:
    try:
        path = Path(output).resolve()  # through a link to the file it names
        if path.exists() and not path.is_file() and not path.is_dir():
            path.write_bytes(data)  # a device or a pipe cannot be renamed onto
        else:
            _replace(data, path)
    except (OSError, ValueError, RuntimeError) as error:  # ValueError: a NUL in the name; RuntimeError: links in a ring
        raise OutputError(
            f"cannot write: {_reason(error)}", do="check the folder and its permissions", place=Place(output)
        ) from error


def _replace(data: bytes, path: Path) -> None:
    """Write beside the file and rename, so that the file is whole at any moment."""
    with NamedTemporaryFile(dir=path.parent, prefix=f".{path.name[:80]}.", delete=False) as beside:
        temporary = Path(beside.name)
        try:
            beside.write(data)
            beside.close()
            temporary.chmod(_mode(path))
            temporary.replace(path)
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise


def _mode(path: Path) -> int:
    """Return the permissions of the file that is replaced, or those that a new file gets."""
    if path.is_file():
        return stat.S_IMODE(path.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)
