"""The natural order of references: R2 before R10."""

import re

NUMBER = re.compile(r"(\d{1,4000})")  # Python turns no more digits than 4,300 into a number


def natural_key(ref: str) -> tuple[tuple[int, int, str], ...]:
    """Return a key that sorts runs of digits by their value and text without regard to case.

    Equal keys mean references that differ in letter case or leading zeros only.
    """
    pieces = (piece for piece in NUMBER.split(ref) if piece)
    return tuple((0, int(piece), "") if piece.isdecimal() else (1, 0, piece.casefold()) for piece in pieces)
