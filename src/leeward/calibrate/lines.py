"""The lines of a text file that may be very long: the first ones whole, of the rest as many as are of use."""

import codecs
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from typing import BinaryIO

import numpy as np

from leeward.errors import InputError, Place

BLOCK = 1 << 22
HEAD_LINES = 200  # never thinned: what the file says about itself stands here
MOST_LINES = 40_000  # ten samples a second for more than an hour
LONGEST_LINE = 1 << 16
BY_MARK = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
TAKE_OUT = "take the log out of the logger anew"


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines with their numbers from 1; every `stride`-th one after the head. `count` is how many the file has."""

    text: tuple[tuple[int, str], ...]
    count: int
    stride: int
    sha256: str


def read_lines(path: str) -> Lines:
    """Return the lines of a file in UTF-8, UTF-16 or Latin-1, by its mark or by what can be read.

    Raises InputError where the file cannot be read, or a line is so long that this is no log.
    """
    try:
        with Path(path).open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            file.seek(0)
            head = file.read(3)
            return _lines(file, next((name for mark, name in BY_MARK if head.startswith(mark)), ""), path, sha256)
    except OSError as error:
        raise InputError(f"cannot read the log: {error.strerror}", do="check the path", place=Place(path)) from error


def _lines(file: BinaryIO, mark: str, path: str, sha256: str) -> Lines:
    file.seek(0)
    count, last = 0, b"\n"
    for block in _blocks(file, mark):
        count, last = count + block.count(b"\n"), block[-1:] or last
    count += last != b"\n"  # a last line without an end
    stride = max(1, ceil(count / MOST_LINES))
    file.seek(0)
    kept = tuple((number, _text(line)) for number, line in _kept(_blocks(file, mark), stride, path))
    return Lines(kept, count, stride, sha256)


def _blocks(file: BinaryIO, mark: str) -> Iterator[bytes]:
    """Yield the file's bytes without its mark, UTF-16 as UTF-8, line ends as LF."""
    decoder = codecs.getincrementaldecoder(mark)("replace") if mark else None
    after_return = False
    while block := file.read(BLOCK):
        told = decoder.decode(block).encode() if decoder else block
        if after_return and told.startswith(b"\n"):
            told = told[1:]
        after_return = told.endswith(b"\r")
        yield told.replace(b"\r\n", b"\n").replace(b"\r", b"\n") if b"\r" in told else told


def _kept(blocks: Iterator[bytes], stride: int, path: str) -> Iterator[tuple[int, bytes]]:
    """Yield number and bytes of each line that is kept."""
    before, first = b"", 1
    for block in blocks:
        data = before + block
        ends = np.flatnonzero(np.frombuffer(data, dtype=np.uint8) == ord("\n"))
        starts = np.concatenate([[0], ends[:-1] + 1]) if ends.size else ends
        if max((ends - starts).max(initial=0), len(data) - (ends[-1] if ends.size else 0)) > LONGEST_LINE:
            raise InputError("a line without an end: this is no log of samples", do=TAKE_OUT, place=Place(path))
        numbers = first + np.arange(ends.size)
        for i in np.flatnonzero((numbers <= HEAD_LINES) | (numbers % stride == 0)):
            yield int(numbers[i]), data[starts[i] : ends[i]]
        before = data[int(ends[-1]) + 1 :] if ends.size else data
        first += ends.size
    if before:
        yield first, before


def _text(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode("latin-1")
