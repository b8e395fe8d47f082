"""Resins of connectors' housings."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from leeward.board.records import Footprint, PadKind
from leeward.errors import InputError
from leeward.parts.identify import identify
from leeward.parts.overrides import read_overrides
from leeward.parts.records import Part
from leeward.parts.resins import resin_of
from parts.drawn import board, box, two_rows


def connector(
    kind: PadKind = "smd", *, fields: Mapping[str, str] | None = None, description: str = "", keywords: str = ""
) -> Footprint:
    """Return a connector with given words."""
    library = "Connector_PinHeader_2.54mm:PinHeader_2x04_P2.54mm_Vertical"
    drawn = two_rows(library, leads=8, pitch=2.54, row=1.27, land=(1, 1), fab=box(5, 10), kind=kind, ref="J1")
    return replace(drawn, fields=fields or {}, description=description, keywords=keywords)


def only(drawn: Footprint) -> Part:
    """Return the single part of a board."""
    (part,) = identify(board(drawn)).by_id.values()
    return part


@pytest.mark.parametrize(
    ("drawn", "resin"),
    [
        (connector(fields={"Housing Material": "LCP, UL94V-0"}), "LCP"),
        (connector(fields={"Material": "Polycarbonate"}), "PC"),
        (connector(fields={"Resin": "glass-filled nylon 6/6"}), "PA66"),
        (connector(description="wire to board header, PBT, 3.96 mm"), "PBT"),
        (connector(keywords="header PA4.6"), "PA46"),
        (connector(fields={"Material": "PBT"}, description="LCP header"), "PBT"),  # the field first
        (connector(description="PC/104 bus header, see http://maker.example/LCP"), None),
        (connector(fields={"Supplier": "LCP Ltd"}), None),
    ],
)
def test_where_a_resin_is_read(drawn: Footprint, resin: str | None) -> None:
    """A field for the material may name any resin; running text only by names that mean nothing else."""
    found = resin_of(drawn)
    assert (None if found is None else found.value) == resin


@pytest.mark.parametrize("kind", ["smd", "through-hole"])
def test_a_known_resin_sets_the_limit(kind: PadKind) -> None:
    """A header of unknown plastic is held to the house's 200 C; one of LCP bears 260 C, one of PC hardly anything."""
    assert only(connector(kind)).limit_c.value == 200.0
    sturdy = only(connector(kind, fields={"Housing material": "LCP"}))
    assert (sturdy.limit_c.value, sturdy.limit_c.confidence, sturdy.fragile_class) == (260.0, "medium", "B")
    assert sturdy.limit_c.source.startswith("field Housing material of the footprint: LCP")
    soft = only(connector(kind, fields={"Material": "PC"}))
    assert (soft.limit_c.value, soft.fragile_class) == (120.0, "D")


def test_a_package_has_no_resin_of_a_housing() -> None:
    """What a package is moulded of is in its classification; a material field does not change that."""
    drawn = two_rows(
        "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm", leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9)
    )
    assert only(replace(drawn, fields={"Material": "PBT"})).limit_c.value == 260.0


def test_the_user_names_the_resin(tmp_path: Path) -> None:
    """The parts file beats what the footprint says; an unknown resin is refused with those that are known."""
    drawn = board(connector(fields={"Leeward.resin": "PPS", "Material": "LCP"}))
    assert identify(drawn).by_id["id-J1"].limit_c.value == 255.0
    path = tmp_path / "mine.toml"
    path.write_text('[[part]]\nref = "J1"\nresin = "PA66"\n', encoding="utf-8")
    assert identify(drawn, read_overrides(path)).by_id["id-J1"].limit_c.value == 235.0
    path.write_text('[[part]]\nref = "J1"\nresin = "Bakelite"\n', encoding="utf-8")
    with pytest.raises(InputError, match="no resin 'Bakelite' in the table, which has LCP, PPS"):
        read_overrides(path)
