"""What the fields of a footprint say."""

from dataclasses import replace

import pytest

from leeward.errors import InputError
from leeward.parts.fields import given_in_fields
from leeward.parts.identify import identify
from leeward.parts.overrides import Overrides, PartEntry
from leeward.parts.records import Part
from parts.drawn import board, box, two_rows


def part_with(fields: dict[str, str], overrides: Overrides | None = None) -> Part:
    """Return a small outline package with fields."""
    drawn = two_rows(
        "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm", leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9)
    )
    plain = board(replace(drawn, fields=fields, line=77))
    parts = identify(plain) if overrides is None else identify(plain, overrides)
    return parts.by_id["id-U1"]


def test_own_fields_say_what_a_parts_file_says() -> None:
    """Height, limit, mass, level, floor life and family are taken, in any case of letters, with the field as source."""
    part = part_with(
        {
            "Leeward.height_mm": "2.5",
            "leeward.LIMIT_C": "230",
            "Leeward.mass_mg": "90",
            "Leeward.msl": "MSL 2A",
            "Leeward.floor_life": "short",
            "LEEWARD.family": "optocoupler",
        }
    )
    assert (part.height_mm.value, part.limit_c.value, part.mass_mg.value) == (2.5, 230.0, 90.0)
    assert part.family.value == "optocoupler"
    assert part.msl is not None
    assert (part.msl.value, part.msl.source) == ("2a", "field Leeward.msl of the footprint")
    assert part.floor_life == "short"
    assert part.limit_c.source == "field leeward.LIMIT_C of the footprint"
    assert part.limit_c.confidence == "high"


@pytest.mark.parametrize(
    ("text", "level"),
    [("3", "3"), ("MSL3", "3"), ("Level-2a-260C-4 weeks", "2a"), ("5A (24 Hrs)", "5a"), ("1", "1")],
)
def test_a_plain_level_is_taken(text: str, level: str) -> None:
    """The usual ways to write a moisture level in a field MSL are read."""
    part = part_with({"MSL": text})
    assert part.msl is not None
    assert part.msl.value == level


@pytest.mark.parametrize("text", ["", "N/A", "unknown", "7", "30", "1a"])
def test_other_words_leave_the_level_unknown(text: str) -> None:
    """A plain field that states no level is nobody's fault."""
    assert part_with({"MSL": text}).msl is None


def test_own_field_before_plain_and_file_before_both() -> None:
    """`Leeward.msl` wins over `MSL`, and the parts file over `Leeward.msl`."""
    fields = {"MSL": "1", "Leeward.msl": "3"}
    own = part_with(fields).msl
    assert own is not None
    assert own.value == "3"
    told = part_with(fields, Overrides("mine.toml", (PartEntry(ref="U1", msl="4"),), (1,))).msl
    assert told is not None
    assert (told.value, told.source) == ("4", "parts file mine.toml")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"Leeward.heigth_mm": "2"}, "U1: unknown field 'Leeward.heigth_mm', nearest height_mm"),
        ({"Leeward.height_mm": "tall"}, "field Leeward.height_mm 'tall'"),
        ({"Leeward.limit_c": "9000"}, "field Leeward.limit_c '9000'"),
        ({"Leeward.msl": "7"}, "field Leeward.msl '7'"),
        ({"Leeward.family": "quad gulwing"}, "nearest quad gull-wing"),
    ],
)
def test_mistakes_in_own_fields_stop(fields: dict[str, str], words: str) -> None:
    """A field that is meant for the program and says what cannot be stops with the part and its line."""
    with pytest.raises(InputError) as caught:
        part_with(fields)
    assert words in str(caught.value)
    assert str(caught.value).startswith("drawn.kicad_pcb:77: ")


def test_an_empty_own_field_says_nothing() -> None:
    """A field left empty, as templates of symbols have them, is passed over."""
    drawn = two_rows("Package_SO:SOIC-8", leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6))
    assert given_in_fields(replace(drawn, fields={"Leeward.height_mm": " "}), "b") == {}
