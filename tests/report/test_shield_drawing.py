"""The shield plan in true size: one drawing behind SVG, DXF and PDF, each measured as it comes out."""

import io
import re
import subprocess
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf.document import Drawing as Dxf
from PIL import Image

from cases import case_of, plastic
from leeward.report.drawing import Area, Drawing, Line, Words
from leeward.report.dxf import dxf_file
from leeward.report.page_pdf import pages_pdf
from leeward.report.shield_drawing import BAR_MM, shield_drawings, stacked
from leeward.report.svg import svg_file
from leeward.review.records import Case
from leeward.shields.records import Piece
from needs import pdf_renderer
from report.browsing import running_browser
from thermal_boards import chip, quad

WITHIN_MM = 0.05
DOTS_PER_MM = 32.0  # of a rendered page: 0.031 mm a dot


@cache
def solved() -> Case:
    """Return a quad with a plastic body beside it, chips on the other side and below."""
    chips = [chip(f"C{i}", -12.5, 4 * i - 4) for i in range(3)]
    below = [chip(f"C{i}", 3 * i - 30, 0, bottom=True) for i in range(10, 13)]
    return case_of(quad("U1", 0, 0, 14.0), plastic("K1", 17.0, 0), *chips, *below)


def pieces(side: str) -> list[Piece]:
    """Return the plan's pieces of a side."""
    return [piece for piece in solved().shields.pieces if piece.side == side]


def top() -> Drawing:
    """Return the drawing of the side that is worked on."""
    return shield_drawings(solved())[0]


def lines_of(drawing: Drawing, key: str, ink: str) -> list[Line]:
    """Return the lines of a key and ink."""
    return [item for item in drawing.items if isinstance(item, Line) and (item.key, item.ink) == (key, ink)]


def extent(line: Line) -> tuple[float, float]:
    """Return a line's width and height."""
    x, y = zip(*line.points, strict=True)
    return max(x) - min(x), max(y) - min(y)


def strip_outline() -> Line:
    """Return the outline of the first flat strip."""
    return lines_of(top(), "polyimide-tape", "cut")[0]


def test_each_side_with_a_piece_has_a_drawing_in_true_size() -> None:
    """Top and bottom have one each, the worked side first, at a scale of one."""
    assert [drawing.scale for drawing in shield_drawings(solved())] == [1.0, 1.0]
    assert "top side" in shield_drawings(solved())[0].about
    assert "bottom side" in shield_drawings(solved())[1].about


def test_every_piece_is_numbered_in_the_plan_and_laid_flat() -> None:
    """Each number stands in the plan, and each pattern is drawn with its size as it is cut."""
    for side, drawing in zip(("top", "bottom"), shield_drawings(solved()), strict=True):
        said = [item.text for item in drawing.items if isinstance(item, Words)]
        for piece in pieces(side):
            assert str(piece.number) in said
            assert any(f"{piece.length_mm:.1f} x {piece.width_mm:.1f} mm" in text for text in said)
        cuts = [extent(line) for line in drawing.items if isinstance(line, Line) and line.ink == "cut" and line.key]
        for piece in pieces(side):
            sizes = ((piece.length_mm, piece.width_mm), (piece.width_mm, piece.length_mm))
            assert any(cut == pytest.approx(size, abs=1e-6) for cut in cuts for size in sizes)


def test_each_flat_piece_says_over_what_it_lies_and_how_it_is_folded() -> None:
    """Below each piece stand the parts that it serves, and its folds where it has some; the cautions are printed."""
    for side, drawing in zip(("top", "bottom"), shield_drawings(solved()), strict=True):
        said = [item.text for item in drawing.items if isinstance(item, Words)]
        for piece in pieces(side):
            refs = sorted(solved().parts.by_id[part_id].ref for part_id in piece.covers)
            assert any(text.startswith(("over ", "before ")) and text.endswith(refs[-1]) for text in said)
        folded = [piece for piece in pieces(side) if not piece.dams.is_empty]
        assert sum(text == "fold the dashed edge up, at the nozzle" for text in said) == len(folded)
        assert any("peel it slowly" in text for text in said)
    assert any(not piece.dams.is_empty for piece in pieces("top")), "no piece to fold was tried"


def test_the_plan_lies_over_the_board() -> None:
    """A piece in the plan has the size and the distance to the target's body that it has on the board."""
    drawing = top()
    strip = next(piece for piece in pieces("top") if piece.shape == "strip")
    edges = [extent(item) for item in drawing.items if isinstance(item, Line) and item.ink == "shield-edge"]
    x0, y0, x1, y1 = strip.area.bounds
    assert any(edge == pytest.approx((x1 - x0, y1 - y0), abs=1e-6) for edge in edges)
    target = next(item for item in drawing.items if isinstance(item, Area) and item.ink == "target")
    outline = next(item for item in drawing.items if isinstance(item, Line) and item.ink == "shield-edge"
                   and extent(item) == pytest.approx((x1 - x0, y1 - y0), abs=1e-6))  # fmt: skip
    left = min(x for ring in target.rings for x, _ in ring)
    assert left - max(x for x, _ in outline.points) == pytest.approx(solved().target.leads.bounds[0] - x1)


def test_the_bottom_is_drawn_as_the_turned_board_lies() -> None:
    """Chips below that lie 0, 3 and 6 mm right of the target on the board lie so far left of it in the drawing."""
    bottom = shield_drawings(solved())[1]
    target = next(item for item in bottom.items if isinstance(item, Line) and item.ink == "target-behind")
    chips = [item for item in bottom.items if isinstance(item, Area) and item.ink == "body"]
    middles = sorted(round(_middle(chip_.rings[0]) - _middle(target.points), 3) for chip_ in chips)
    assert middles == [-6.0, -3.0, 0.0]


def _middle(points: tuple[tuple[float, float], ...]) -> float:
    x = [x for x, _ in points]
    return (min(x) + max(x)) / 2


def test_the_bar_is_fifty_millimetres() -> None:
    """The bar to check a print by is 50 mm in the record."""
    (bar,) = lines_of(top(), "scale-bar", "measure")
    assert extent(bar)[0] == pytest.approx(BAR_MM)
    assert BAR_MM == 50.0


@cache
def dxf() -> Dxf:
    """Return the DXF of both sides, read again."""
    return ezdxf.read(io.StringIO(dxf_file(stacked(shield_drawings(solved())))))  # type: ignore[attr-defined]  # not in its exports


def test_the_dxf_opens_with_a_clean_audit_in_millimetres() -> None:
    """Nothing to mend, units mm."""
    audit = dxf().audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert dxf().header["$INSUNITS"] == 4


def test_the_dxf_has_a_layer_for_each_material_cut_and_fold_apart() -> None:
    """Each material's cuts lie on a layer of its own, its folds on another, the bar on a third kind."""
    names = {entity.dxf.layer for entity in dxf().modelspace()}
    for piece in solved().shields.pieces:
        assert f"{piece.material.id}-cut" in names
        if piece.pattern is not None and piece.pattern.folds:
            assert f"{piece.material.id}-fold" in names
    assert "scale-bar-measure" in names
    folds = {entity.dxf.layer for entity in dxf().modelspace() if entity.dxf.layer.endswith("-fold")}
    assert all(dxf().layers.get(name).dxf.linetype == "DASHED" for name in folds)


def test_the_dxf_measures_true() -> None:
    """Bar and strip measure to a hundredth of a millimetre."""
    bars = [entity for entity in dxf().modelspace() if entity.dxf.layer == "scale-bar-measure"]
    x = [point[0] for point in bars[0].get_points()]  # type: ignore[attr-defined]  # a polyline
    assert max(x) - min(x) == pytest.approx(BAR_MM, abs=0.01)
    cuts = [np.array([point[:2] for point in entity.get_points()]) for entity in dxf().modelspace()  # type: ignore[attr-defined]
            if entity.dxf.layer == "polyimide-tape-cut"]  # fmt: skip
    assert any(np.ptp(cut, axis=0) == pytest.approx(extent(strip_outline()), abs=0.01) for cut in cuts)


def test_the_dxf_is_the_right_way_up() -> None:
    """DXF counts y upwards: the title stands above the bar's words' words below it, as in the drawing."""
    texts = {entity.dxf.text: entity.dxf.insert.y for entity in dxf().modelspace() if entity.dxftype() == "TEXT"}
    title = next(text for text in texts if text.startswith("Shields for"))
    flat = next(text for text in texts if text.startswith("Pieces laid flat"))
    assert texts[title] > texts[flat]


def ink_of_line(page: Image.Image, box_mm: tuple[float, float, float, float], *, across: bool) -> tuple[float, float]:
    """Return the first and last place of dark dots in a box of a page, mm, along x or along y."""
    x0, y0, x1, y1 = (round(value * DOTS_PER_MM) for value in box_mm)
    dark = np.asarray(page.crop((x0, y0, x1, y1)).convert("L")) < 140
    found = np.flatnonzero(dark.any(axis=0 if across else 1))
    return found[0] / DOTS_PER_MM, (found[-1] + 1) / DOTS_PER_MM


def measured(page: Image.Image, offset_mm: tuple[float, float]) -> None:
    """Assert that bar and strip measure true on a page that shows the drawing's origin at an offset."""
    drawing, (dx, dy) = top(), offset_mm
    for line, stroke_mm in ((lines_of(drawing, "scale-bar", "measure")[0], 0.13), (strip_outline(), 0.2)):
        x, y = zip(*line.points, strict=True)
        left, right, upper, lower = min(x) + dx, max(x) + dx, min(y) + dy, max(y) + dy
        middle = (upper + lower) / 2
        around = (left - 2, min(middle, lower - 0.4), right + 2, min(middle, lower - 0.4) + 0.3)
        first, last = ink_of_line(page, around, across=True)
        assert last - first - stroke_mm == pytest.approx(right - left, abs=WITHIN_MM)
        assert first - 2 + stroke_mm / 2 == pytest.approx(0.0, abs=WITHIN_MM)


@pytest.mark.browser
def test_the_svg_measures_true_when_rendered(tmp_path: Path) -> None:
    """Rendered by a browser at its own size, bar and strip measure to 0.05 mm."""
    path = tmp_path / "shields.svg"
    path.write_text(svg_file(top()), encoding="utf-8")
    x0, y0, x1, y1 = top().frame_mm
    with running_browser() as browser:
        scale = DOTS_PER_MM * 25.4 / 96
        page = browser.new_page(
            viewport={"width": int((x1 - x0) / 25.4 * 96) + 2, "height": int((y1 - y0) / 25.4 * 96) + 2},
            device_scale_factor=scale,
        )
        page.goto(path.as_uri())
        image = Image.open(io.BytesIO(page.screenshot()))
    assert re.search(rf'width="{x1 - x0:g}mm"', path.read_text(encoding="utf-8"))
    measured(image, (-x0, -y0))


def test_the_pdf_measures_true_when_rendered(tmp_path: Path) -> None:
    """Rendered, bar and strip measure to 0.05 mm; the page is A4, not to be scaled in print."""
    path = tmp_path / "shields.pdf"
    path.write_bytes(pages_pdf(shield_drawings(solved()), "Shields"))
    dots = f"{DOTS_PER_MM * 25.4:g}"
    command = [
        pdf_renderer(),
        "-r",
        dots,
        "-f",
        "1",
        "-l",
        "1",
        "-gray",
        "-singlefile",
        str(path),
        str(tmp_path / "page"),
    ]
    subprocess.run(command, check=True)
    image = Image.open(tmp_path / "page.pgm")
    x0, y0, x1, _ = top().frame_mm
    wide = image.width / DOTS_PER_MM
    assert (wide, image.height / DOTS_PER_MM) == pytest.approx((210.0, 297.0), abs=0.1)
    measured(image, ((wide - (x1 - x0)) / 2 - x0, 8.0 - y0))
    assert b"/PrintScaling /None" in path.read_bytes()


def test_the_same_plan_gives_the_same_bytes() -> None:
    """No clock and no chance is in any of the three forms."""
    drawings = shield_drawings(solved())
    assert dxf_file(stacked(drawings)) == dxf_file(stacked(drawings))
    assert svg_file(stacked(drawings)) == svg_file(stacked(drawings))
    assert pages_pdf(drawings, "Shields") == pages_pdf(drawings, "Shields")


def test_stacked_drawings_all_have_room() -> None:
    """Two drawings below each other are as wide as the wider, whichever comes first, and as tall as both."""
    wide, narrow = Drawing("wide", (0.0, 0.0, 100.0, 20.0), ()), Drawing("narrow", (-5.0, -5.0, 45.0, 25.0), ())
    assert stacked([wide, narrow]).frame_mm == stacked([narrow, wide]).frame_mm == (0.0, 0.0, 100.0, 50.0)
