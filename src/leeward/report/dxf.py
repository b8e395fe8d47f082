"""A drawing as DXF, in mm and true size: lines to cut and lines to fold on layers of their own for each material.

A line with a key lies on the layer KEY-INK ("polyimide-tape-cut"), everything else on one named for its ink. Areas
are drawn as their outlines; y runs up, as DXF has it.
"""

import io
from collections.abc import Iterable
from typing import Any

from leeward.report.drawing import Area, Drawing, Item, Line, Point, Words
from leeward.report.inks import INKS
from leeward.report.wording import clean

MILLIMETRES = 4  # of $INSUNITS
UNSEEN = ("halo", "page")  # inks that only clear the ground behind words
ALIGNED = {"start": "LEFT", "middle": "CENTER", "end": "RIGHT"}
LINE_WIDTHS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211)


def dxf_file(drawing: Drawing) -> str:
    """Return a whole DXF file (R2010)."""
    from ezdxf import options  # type: ignore[attr-defined]  # noqa: PLC0415  # there, though not among its exports
    from ezdxf.filemanagement import new  # noqa: PLC0415

    options.write_fixed_meta_data_for_testing = True  # no clock, no fresh ids: the same drawing, the same bytes
    document = new("R2010", setup=True)
    document.header["$INSUNITS"] = MILLIMETRES
    document.header["$MEASUREMENT"] = 1
    space = document.modelspace()
    for item in drawing.items:
        if item.ink not in UNSEEN:
            _add(document, space, item)
    text = io.StringIO()
    document.write(text)
    return text.getvalue()


def layer_of(item: Item) -> str:
    """Return the name of the layer that an item lies on."""
    return f"{item.key}-{item.ink}" if isinstance(item, Line) and item.key else item.ink


def _add(document: Any, space: Any, item: Item) -> None:  # noqa: ANN401  # ezdxf is not typed
    layer = layer_of(item)
    if layer not in document.layers:
        ink = INKS[item.ink]
        kind = "DASHED" if ink.dash_mm else "CONTINUOUS"
        document.layers.add(
            layer, linetype=kind, lineweight=min(LINE_WIDTHS, key=lambda w: abs(w - 100 * ink.width_mm))
        )
    style = {"layer": layer}
    if isinstance(item, Words):
        text = space.add_text(clean(item.text), height=item.height_mm, rotation=item.angle_deg, dxfattribs=style)
        text.set_placement(_up(item.at), align=_alignment(item.anchor))
    elif isinstance(item, Line):
        space.add_lwpolyline(_all_up(item.points), close=item.closed, dxfattribs=style)
    elif isinstance(item, Area):
        for ring in item.rings:
            space.add_lwpolyline(_all_up(ring), close=True, dxfattribs=style)


def _alignment(anchor: str) -> Any:  # noqa: ANN401
    from ezdxf.enums import TextEntityAlignment  # noqa: PLC0415

    return TextEntityAlignment[ALIGNED[anchor]]


def _up(point: Point) -> Point:
    return point[0], -point[1] + 0.0


def _all_up(points: Iterable[Point]) -> list[Point]:
    return [_up(point) for point in points]
