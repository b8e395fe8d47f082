"""The parts file to fill in."""

import tomllib
from dataclasses import replace

from builders import board, part, parts_of
from leeward.known import Known
from leeward.parts.overrides import PartsFile
from leeward.parts.records import Part
from leeward.report.toml_parts import parts_skeleton


def uncommented(text: str) -> str:
    """Return the text with every guessed value put in force, as someone would who believes them all."""
    return "\n".join(line.removeprefix("# ") if " = " in line else line for line in text.splitlines())


def named(ref: str, library_id: str, value: str, height_mm: float = 1.5) -> Part:
    """Return an unsure part of a footprint and value."""
    plain = part(ref, sure="low")
    footprint = replace(plain.footprint, library_id=library_id, value=value)
    return replace(plain, footprint=footprint, height_mm=Known(height_mm, "a table\nof two lines", "low"))


def test_like_parts_share_an_entry() -> None:
    """Parts of one footprint and value stand together in natural order, with the guesses and sources as comments."""
    parts = parts_of(named("R10", "Lib:A", "10k"), named("R2", "Lib:A", "10k"), named("C1", "Lib:B", "1u"))
    text = parts_skeleton(board(), parts)
    assert (
        '# R2, R10\n[[part]]\nfootprint = "Lib:A"\nvalue = "10k"\n# height_mm = 1.5  # a table of two lines\n' in text
    )
    assert '# limit_c = 245  # invented table, row 3: for tests only\n# source = ""\n' in text
    assert tomllib.loads(text) == {
        "part": [{"footprint": "Lib:A", "value": "10k"}, {"footprint": "Lib:B", "value": "1u"}]
    }


def test_what_is_guessed_differently_is_told_apart() -> None:
    """Parts of one footprint and value with different guesses get an entry by reference each."""
    text = parts_skeleton(board(), parts_of(named("R1", "Lib:A", "10k"), named("R2", "Lib:A", "10k", 2.0)))
    assert [entry["ref"] for entry in tomllib.loads(text)["part"]] == ["R1", "R2"]


def test_a_like_part_that_is_sure_is_left_alone() -> None:
    """Where one of two like parts is known, the other's entry is by reference, so that it does not reach the first."""
    sure = named("R1", "Lib:A", "10k")
    known = replace(sure, height_mm=Known(1.1, "field", "high"), limit_c=Known(245.0, "field", "high"))
    text = parts_skeleton(board(), parts_of(known, named("R2", "Lib:A", "10k"), part("C1")))
    assert tomllib.loads(text) == {"part": [{"ref": "R2"}]}


def test_names_of_any_kind_stay_what_they_are() -> None:
    """Quotes, brackets, stars, line breaks and odd signs in names make patterns that fit those names and no others."""
    library_id, value = 'Lib:A[1]*"\\', "10\x7f\u00b5\n\U0001f600?"
    odd = named("R1", library_id, value)
    entry = PartsFile.model_validate(tomllib.loads(parts_skeleton(board("a\nb = 1"), parts_of(odd)))).part[0]
    assert entry.is_about(odd.footprint)
    assert not entry.is_about(replace(odd.footprint, library_id='Lib:A1x"\\'))
    assert not entry.is_about(replace(odd.footprint, value=value.replace("?", "x")))


def test_filled_in_it_is_a_parts_file() -> None:
    """With the signs taken off, every guess is a key that a parts file takes."""
    unsure = replace(
        named("U1", "Lib:A", "x"),
        family=Known("quad gull-wing", "t", "low"),
        lead_style=Known("gull-wing", "t", "low"),
        body_mm=Known((3.0, 2.25), "t", "low"),
    )
    (entry,) = PartsFile.model_validate(tomllib.loads(uncommented(parts_skeleton(board(), parts_of(unsure))))).part
    assert (entry.family, entry.lead_style, entry.body_mm) == ("quad gull-wing", "gull-wing", (3.0, 2.25))
    assert (entry.height_mm, entry.limit_c, entry.source) == (1.5, 245.0, "")


def test_nothing_guessed_is_an_empty_file() -> None:
    """Without guesses only the head is there."""
    assert tomllib.loads(parts_skeleton(board(), parts_of())) == {}
