"""Bench files."""

from pathlib import Path

import pytest

from leeward.bench.read import default_text, parse, read_bench
from leeward.errors import InputError


def test_the_default_bench_reads_back() -> None:
    """The shipped text is a valid bench with all four kinds of stage and no nozzle named twice."""
    bench = read_bench()
    assert {stage.name for recipe in bench.recipes for stage in recipe.stages} == {"preheat", "soak", "reflow", "cool"}
    assert len({nozzle.id for nozzle in bench.nozzles}) == len(bench.nozzles)


def test_every_lead_style_has_a_recipe() -> None:
    """A part of any lead style and of any size up to half a metre finds a starting recipe."""
    styles = {style for recipe in read_bench().recipes for style in recipe.lead_styles if recipe.longest_mm == 500.0}
    assert len(styles) == 14


def test_a_misspelt_key_is_named_with_the_nearest() -> None:
    """A wrong key is one line that names the key and the one that was meant."""
    with pytest.raises(InputError, match=r"unknown key nozzles\.0\.wal_mm \(nearest known key: wall_mm\)"):
        parse(default_text().replace("wall_mm", "wal_mm", 1), "bench.toml")


@pytest.mark.parametrize("value", ["-0.8", "nan", "inf", '"thick"'])
def test_nonsense_numbers_are_refused(value: str) -> None:
    """Negative, not-a-number, infinite and worded sizes are refused with the entry's name."""
    with pytest.raises(InputError, match=r"nozzles\.0\.wall_mm"):
        parse(default_text().replace("wall_mm = 0.8", f"wall_mm = {value}", 1), "bench.toml")


def test_a_broken_file_says_where() -> None:
    """Text that is not TOML is refused with the file's name and the line."""
    with pytest.raises(InputError, match=r"bench\.toml: not TOML: .*line 2"):
        parse("name = 'x'\nnozzles = = 3\n", "bench.toml")


def test_two_nozzles_of_one_name_are_refused() -> None:
    """A nozzle's id names one nozzle."""
    with pytest.raises(InputError, match="two nozzles are named quad-9x9"):
        parse(default_text().replace("quad-11x11", "quad-9x9"), "bench.toml")


def test_two_cups_of_one_name_are_refused() -> None:
    """A cup's id names one cup."""
    with pytest.raises(InputError, match="two cups are named cup-4"):
        parse(default_text().replace("cup-5", "cup-4"), "bench.toml")


def test_a_bench_without_cups_is_sound() -> None:
    """Cups, the laminate and the room below the board may be left out: then nothing is claimed of them."""
    bench = parse(default_text().split("[[cups]]")[0], "bench.toml")
    assert bench.cups == ()
    assert bench.glass_transition_c is None
    assert bench.board_heater.room_mm is None


def test_a_missing_file_is_one_line(tmp_path: Path) -> None:
    """A bench file that does not exist is refused with its path."""
    with pytest.raises(InputError, match="cannot read the bench file"):
        read_bench(str(tmp_path / "none.toml"))
