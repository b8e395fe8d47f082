"""Tests of leeward.report.text_bench."""

from leeward.bench.read import read_bench
from leeward.report.screen import screen
from leeward.report.text_bench import bench_text


def test_every_nozzle_and_recipe_is_listed() -> None:
    """The summary has a row for each nozzle with its inside, and a line for each recipe with its source."""
    bench = read_bench()
    text = screen("x.txt").text(bench_text(bench))
    rows = [line.split()[0] for line in text.splitlines() if line]
    assert [row for row in rows if row in {nozzle.id for nozzle in bench.nozzles}] == [
        nozzle.id for nozzle in bench.nozzles
    ]
    assert text.count("\n- ") == len(bench.recipes)
    assert f"{len(bench.nozzles)} nozzles, {len(bench.recipes)} recipes" in text
    assert "preheat 90 s, heater 140 C" in text
    assert "Cups at 30 kPa of vacuum: cup-2 (2 mm, up to 300 C)" in text
