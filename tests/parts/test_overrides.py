"""The user's parts file."""

from dataclasses import replace
from pathlib import Path

import pytest

from leeward.errors import InputError
from leeward.parts.identify import identify
from leeward.parts.overrides import idle_lines, read_overrides
from leeward.parts.records import Part, Parts
from parts.drawn import board, box, two_rows

BOARD = board(
    *(
        two_rows(
            "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm",
            leads=8,
            pitch=1.27,
            row=2.475,
            land=(1.95, 0.6),
            fab=box(3.9, 4.9),
            ref=ref,
        )
        for ref in ("U1", "U9")
    )
)


def parts_with(tmp_path: Path, text: str) -> Parts:
    """Return the parts of the board under a parts file."""
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return identify(BOARD, read_overrides(path))


def by_ref(parts: Parts, ref: str) -> Part:
    """Return the part with a reference."""
    return next(part for part in parts.by_id.values() if part.ref == ref)


def test_every_value_can_be_given(tmp_path: Path) -> None:
    """What the file gives stands in the part with the file as its source; other parts are left alone."""
    text = """
        [[part]]
        ref = "U1"
        family = "optocoupler"
        lead_style = "gull-wing"
        height_mm = 3
        body_mm = [4.0, 5.0]
        mass_mg = 120.0
        limit_c = 230
        source = "sheet 4"
    """
    parts = parts_with(tmp_path, text)
    part = by_ref(parts, "U1")
    assert part.family.value == "optocoupler"
    assert part.lead_style.value == "gull-wing"
    assert part.height_mm.value == 3.0
    assert part.body_mm.value == (4.0, 5.0)
    assert part.body.area == pytest.approx(20.0)
    assert part.mass_mg.value == 120.0
    assert part.limit_c.value == 230.0
    for known in (part.family, part.lead_style, part.height_mm, part.body_mm, part.mass_mg, part.limit_c):
        assert (known.source, known.confidence) == ("parts file mine.toml: sheet 4", "high")
    assert by_ref(parts, "U9").family.value == "two-row gull-wing"


def test_reference_beats_pattern(tmp_path: Path) -> None:
    """A pattern over the footprint reaches all its parts; an entry by reference goes on top wherever it stands."""
    text = '[[part]]\nref = "U9"\nheight_mm = 2.0\n[[part]]\nfootprint = "*:SOIC-8*"\nheight_mm = 1.5\nmass_mg = 70.0\n'
    parts = parts_with(tmp_path, text)
    assert by_ref(parts, "U1").height_mm.value == 1.5
    assert by_ref(parts, "U9").height_mm.value == 2.0
    assert by_ref(parts, "U9").mass_mg.value == 70.0


def test_values_are_patterns_too(tmp_path: Path) -> None:
    """An entry by value reaches the parts whose value fits, one by value and footprint those that fit both."""
    text = '[[part]]\nvalue = "10u*"\nheight_mm = 1.5\n[[part]]\nvalue = "*"\nfootprint = "Other:*"\nheight_mm = 9.0\n'
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    drawn = [replace(each, value=value) for each, value in zip(BOARD.footprints, ("10u/6V", "4u7"), strict=True)]
    parts = identify(board(*drawn), read_overrides(path))
    assert by_ref(parts, "U1").height_mm.value == 1.5
    assert by_ref(parts, "U9").height_mm.value == by_ref(identify(BOARD), "U9").height_mm.value


def test_entries_about_nothing_are_told(tmp_path: Path) -> None:
    """Entries by pattern that fit no part of the board are named by their lines; those about a part are not."""
    text = '[[part]]\nfootprint = "*:SOIC-8*"\nheight_mm = 1.5\n\n[[part]]\nvalue = "nothing"\nheight_mm = 1.5\n'
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    assert idle_lines(read_overrides(path), BOARD) == (5,)


def test_moisture_can_be_given(tmp_path: Path) -> None:
    """A level as number or text and a floor life stand in the part; other parts have none."""
    text = '[[part]]\nref = "U1"\nmsl = 3\nfloor_life = "late"\n[[part]]\nref = "U9"\nmsl = "MSL 5A"\n'
    parts = parts_with(tmp_path, text)
    first, second = by_ref(parts, "U1"), by_ref(parts, "U9")
    assert first.msl is not None
    assert second.msl is not None
    assert (first.msl.value, first.floor_life, second.msl.value, second.floor_life) == ("3", "late", "5a", None)
    assert first.msl.source == "parts file mine.toml"


def test_mass_follows_a_given_height(tmp_path: Path) -> None:
    """A height that the user gives changes the mass that is worked out from it."""
    plain = by_ref(identify(BOARD), "U1").mass_mg.value
    taller = by_ref(parts_with(tmp_path, '[[part]]\nref = "U1"\nheight_mm = 3.5\n'), "U1").mass_mg.value
    assert taller == pytest.approx(plain * (3.5 - 0.2) / (1.75 - 0.2))


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('[[part]]\nref = "U1"\nheigth_mm = 2.0\n', 3, "unknown key 'heigth_mm', nearest height_mm"),
        ('[[parts]]\nref = "U1"\n', 1, "unknown key 'parts', nearest part"),
        ('[[part]]\nref = "U99"\n', 1, "no part U99 on this board, nearest U9"),
        ("[[part]]\nheight_mm = 2.0\n", 1, "either ref or footprint"),
        ('[[part]]\nref = "U1"\nfootprint = "*"\n', 1, "either ref or footprint"),
        ('\n[[part]]\nref = "U1"\nfamily = "quad gulwing"\n', 4, "nearest quad gull-wing"),
        ('[[part]]\nref = "U1"\n[[part]]\nref = "U9"\nheight_mm = -1\n', 5, "height_mm"),
        ('[[part]]\nref = "U1"\nheight_mm = "tall"\n', 3, "height_mm"),
        ('[[part]]\nref = "U1"\nheight_mm = nan\n', 3, "height_mm"),
        ('[[part]]\nref = "U1"\nbody_mm = [4.0]\n', 3, "body_mm"),
        ('[[part]]\nref = "U1"\nvalue = "*"\n', 1, "either ref or footprint"),
        ('[[part]]\nref = "U1"\nmsl = 7\n', 3, "msl"),
        ('[[part]]\nref = "U1"\nmsl = true\n', 3, "msl"),
        ('[[part]]\nref = "U1"\nfloor_life = "over"\n', 3, "floor_life"),
        ('[[part]]\nvalu = "U1"\n', 2, "unknown key 'valu', nearest value"),
        ('[[part]]\nref = "U1"\nlead_style = "winged"\n', 3, "lead_style"),
        ('[[part]]\nref = "U1"\nresin = "LPC"\n', 3, "no resin 'LPC' in the table, which has LCP"),
        ('ref = "U1"\n', 1, "'ref' stands outside a [[part]]"),
        ('[part]\nref = "U1"\n', 1, "write [[part]]"),
        ('[[part]]\nref = = "U1"\n', 2, "no TOML"),
    ],
)
def test_mistakes_are_placed_and_named(tmp_path: Path, text: str, line: int, words: str) -> None:
    """A mistake in the file stops with its line, what is wrong, and the nearest word that would be right."""
    with pytest.raises(InputError) as caught:
        parts_with(tmp_path, text)
    assert words in str(caught.value)
    assert f"mine.toml:{line}: " in str(caught.value)


def test_missing_file(tmp_path: Path) -> None:
    """A parts file that is not there is an input error with its path."""
    with pytest.raises(InputError, match=r"gone\.toml: cannot read the parts file"):
        read_overrides(tmp_path / "gone.toml")


def test_wrong_encoding(tmp_path: Path) -> None:
    """A parts file that is no UTF-8 is an input error."""
    path = tmp_path / "latin.toml"
    path.write_bytes('[[part]]\nref = "U1"\nsource = "größe"\n'.encode("latin-1"))
    with pytest.raises(InputError, match="no UTF-8"):
        read_overrides(path)
