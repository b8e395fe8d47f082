"""A parts file to fill in: what was guessed, with its source, each entry for parts that are alike."""

import json
from collections.abc import Iterable, Iterator, Sequence
from glob import escape
from itertools import groupby

from leeward.board.records import Board
from leeward.known import Known
from leeward.parts.records import Part, Parts
from leeward.parts.resins import resins
from leeward.parts.unsure import guessed, wants_resin
from leeward.report.board_documents import in_order

HEAD = """\
# What was guessed of the parts of {board}.
# Where you know better, put in what is right and take the sign off that line; give the file back with --parts.
"""
MOST_ON_A_LINE = 12  # references
RESIN = f'# resin = ""  # instead of a limit, where the housing is known to be of one: {", ".join(resins())}\n'


def parts_skeleton(board: Board, parts: Parts) -> str:
    """Return the text of a parts file in which every guessed value of all parts stands as a comment."""
    ordered = sorted((part for part in in_order(parts.by_id.values()) if not part.body.is_empty), key=_kind)
    alike = [in_order(group) for _, group in groupby(ordered, key=_kind)]
    return "".join((HEAD.format(board=_one_line(board.file)), *(text for group in alike for text in _entries(group))))


def _kind(part: Part) -> tuple[str, str]:
    return part.footprint.library_id, part.footprint.value


def _entries(group: Sequence[Part]) -> Iterator[str]:
    """Yield one entry for all, or one for each reference where the guesses differ between them, none without any."""
    unsure = [part for part in group if guessed(part)]
    if unsure and len({_values(part) for part in group}) == 1:
        library_id, value = _kind(group[0])
        about = f"footprint = {_text(escape(library_id))}\nvalue = {_text(escape(value))}\n"
        yield _entry(group, about)
        return
    for _, same in groupby(unsure, key=lambda part: part.ref):
        members = list(same)
        yield _entry(members, f"ref = {_text(members[0].ref)}\n")


def _entry(group: Sequence[Part], about: str) -> str:
    guesses = "".join(f"# {name} = {_value(known)}  # {_one_line(known.source)}\n" for name, known in _keys(group[0]))
    guesses += RESIN if all(wants_resin(part) for part in group) else ""
    return f'\n{_refs(group)}[[part]]\n{about}{guesses}# source = ""\n'


def _keys(part: Part) -> Iterable[tuple[str, Known[object]]]:
    return guessed(part).items()


def _values(part: Part) -> tuple[tuple[str, object], ...]:
    return tuple((name, known.value) for name, known in _keys(part))


def _refs(group: Sequence[Part]) -> str:
    refs = [_one_line(part.ref) for part in group]
    lines = [refs[start : start + MOST_ON_A_LINE] for start in range(0, len(refs), MOST_ON_A_LINE)]
    return "".join(f"# {', '.join(line)}\n" for line in lines)


def _value(known: Known[object]) -> str:
    value = known.value
    if isinstance(value, tuple):
        return f"[{', '.join(f'{side:.4g}' for side in value)}]"
    return f"{value:.4g}" if isinstance(value, float) else _text(str(value))


def _text(words: str) -> str:
    """Return a TOML string; JSON's differ from it in that they leave the delete sign as it is."""
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")


def _one_line(words: str) -> str:
    """Return a text that can stand in a comment: names in a board file may hold anything."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in words).split())
