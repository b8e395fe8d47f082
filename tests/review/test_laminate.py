"""Where the resin under the lands softens, and how that is known."""

from dataclasses import replace

import pytest

from leeward.bench.read import read_bench
from leeward.board.records import Board, StackLayer, Stackup
from leeward.review.laminate import laminate, outer_material
from thermal_boards import board, square

BENCH = read_bench()


def made_of(*materials: str | None, source: str = "the file's stackup") -> Board:
    """Return a board whose dielectrics have the materials given, from the top down."""
    layers = [StackLayer("F.Cu", "copper", 0.035, None)]
    for i, material in enumerate(materials):
        layers += [
            StackLayer(f"dielectric {i}", "dielectric", 0.5, material),
            StackLayer("B.Cu", "copper", 0.035, None),
        ]
    return replace(board(square(0, 0, 10)), stackup=Stackup(tuple(layers), source))


@pytest.mark.parametrize(
    ("material", "celsius"), [("FR4 Tg170", 170.0), ("TG 155", 155.0), ("FR408-HR", 190.0), ("370HR", 180.0)]
)
def test_a_material_that_tells_is_believed(material: str, celsius: float) -> None:
    """By a figure in its name, or as a laminate that is known."""
    found = laminate(made_of(material), BENCH, "top")
    assert found.glass_transition_c.value == celsius
    assert material in found.glass_transition_c.source
    assert found.told


def test_the_bench_tells_where_the_stackup_does_not() -> None:
    """FR-4 alone is sold from 130 to 180 C: then the bench file is asked."""
    found = laminate(made_of("FR4"), replace(BENCH, glass_transition_c=150.0), "top")
    assert (found.glass_transition_c.value, found.glass_transition_c.source, found.told) == (
        150.0,
        "the bench file",
        True,
    )


def test_the_stackup_is_asked_before_the_bench() -> None:
    """The board's own material wins over what the bench says of boards in general."""
    assert laminate(made_of("Tg170"), replace(BENCH, glass_transition_c=150.0), "top").glass_transition_c.value == 170.0


def test_what_nobody_tells_is_assumed_and_said() -> None:
    """With neither, 140 C is assumed, with low confidence and in words."""
    found = laminate(made_of("FR4"), BENCH, "top")
    assert not found.told
    assert found.glass_transition_c.confidence == "low"
    assert (
        "not known: the stackup says FR4, the bench file nothing; 140 C is assumed" in found.glass_transition_c.source
    )


def test_the_dielectric_next_to_the_lands_counts() -> None:
    """Each side has its own outer dielectric; a stackup that stands in for a missing one has none."""
    mixed = made_of("Tg170", "FR4", "Tg130")
    assert outer_material(mixed, "top") == "Tg170"
    assert outer_material(mixed, "bottom") == "Tg130"
    assert outer_material(made_of("FR4", source="default, because the file gives no stackup"), "top") is None
