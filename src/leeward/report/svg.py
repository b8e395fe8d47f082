"""A drawing as SVG: an element of a page, coloured by the page's style sheet, or a file of its own in true size."""

from collections.abc import Iterable, Mapping
from functools import cache
from html import escape
from itertools import groupby

from leeward.report.drawing import Area, Drawing, Item, Line, Ring, Words
from leeward.report.inks import INKS, Ink, Shade
from leeward.report.lettering import CAPITAL
from leeward.report.wording import clean

FONT = "font-family:Helvetica,Arial,'Liberation Sans',sans-serif"
GENERAL = f"text{{{FONT}}}path{{fill-rule:evenodd}}"
PLACES = 3  # decimals of a coordinate: 1 um


def svg_element(
    drawing: Drawing, links: Mapping[str, str] | None = None, prefix: str = "", names: Mapping[str, str] | None = None
) -> str:
    """Return an `svg` element for a page that carries `page_style`.

    Items of one key that follow each other form a group with the id `prefix` + key; where `links` has the key, the
    group leads to that address, and is called what `names` says.
    """
    role = "group" if links else "img"
    label = escape(clean(drawing.about))
    return (
        f'<svg class="drawing" viewBox="{_box(drawing)}" role="{role}" aria-label="{label}">'
        f"{_contents(drawing.items, links or {}, prefix, names or {})}</svg>"
    )


def svg_file(drawing: Drawing) -> str:
    """Return a whole SVG file, `drawing.scale` times true size, in its light colours."""
    x0, y0, x1, y1 = drawing.frame_mm
    width, height = _number((x1 - x0) * drawing.scale), _number((y1 - y0) * drawing.scale)
    used = sorted({item.ink for item in drawing.items})
    rules = "".join(_rule(name, "light", 1 / drawing.scale, "") for name in used)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="{_box(drawing)}">'
        f"<title>{escape(clean(drawing.about))}</title><style>{GENERAL}{rules}</style>"
        f"{_contents(drawing.items, {}, '', {})}</svg>\n"
    )


@cache
def page_style() -> str:
    """Return the style sheet of drawings in a page: strokes keep their width however far it is zoomed."""
    general = f".drawing{{{FONT}}}.drawing path{{fill-rule:evenodd;vector-effect:non-scaling-stroke}}"
    light = "".join(_rule(name, "light", 1.0, "mm") for name in INKS)
    dark = "".join(_colours(name, "dark") for name in INKS)
    return f"{general}{light}@media screen and (prefers-color-scheme:dark){{{dark}}}"


def _rule(name: str, look: str, unit: float, suffix: str) -> str:
    ink = INKS[name]
    parts = [_paint(ink, look)]
    if ink.stroke is not None:
        parts.append(f"stroke-width:{_number(ink.width_mm * unit)}{suffix};stroke-linejoin:round")
    if ink.dash_mm:
        parts.append("stroke-dasharray:" + " ".join(f"{_number(dash * unit)}{suffix}" for dash in ink.dash_mm))
    if ink.bold:
        parts.append("font-weight:bold")
    return f".ink-{name}{{{';'.join(parts)}}}"


def _colours(name: str, look: str) -> str:
    return f".ink-{name}{{{_paint(INKS[name], look)}}}"


def _paint(ink: Ink, look: str) -> str:
    opacity = "" if ink.opacity == 1 else f";fill-opacity:{_number(ink.opacity)}"
    return f"fill:{_colour(ink.fill, look)};stroke:{_colour(ink.stroke, look)}{opacity}"


def _colour(shade: Shade | None, look: str) -> str:
    if shade is None:
        return "none"
    return shade.dark if look == "dark" else shade.light


def _contents(items: Iterable[Item], links: Mapping[str, str], prefix: str, names: Mapping[str, str]) -> str:
    return "".join(_group(key, list(run), links, prefix, names) for key, run in groupby(items, lambda item: item.key))


def _group(key: str, items: list[Item], links: Mapping[str, str], prefix: str, names: Mapping[str, str]) -> str:
    drawn = "".join(_run(ink, list(run)) for ink, run in groupby(items, _stroke))
    if not key:
        return drawn
    name = escape(clean(prefix + key))
    if key in links:
        label = f' aria-label="{escape(clean(names[key]))}"' if key in names else ""
        return f'<a id="{name}" href="{escape(clean(links[key]))}"{label}>{drawn}</a>'
    return f'<g id="{name}">{drawn}</g>'


def _stroke(item: Item) -> str:
    """Return the ink of a line, "" of anything else: lines of one ink that follow each other become one path."""
    return item.ink if isinstance(item, Line) else ""


def _run(ink: str, items: list[Item]) -> str:
    if not ink:
        return "".join(_item(item) for item in items)
    strokes = "".join(_path(item.points) + "Z" * item.closed for item in items if isinstance(item, Line))
    return f'<path class="ink-{ink}" d="{strokes}"/>'


def _item(item: Item) -> str:
    if isinstance(item, Area):
        rings = "".join(_path(ring) + "Z" for ring in item.rings)
        return f'<path class="ink-{item.ink}" d="{rings}"/>'
    return _words(item) if isinstance(item, Words) else ""


def _words(item: Words) -> str:
    x, y = (_number(value) for value in item.at)
    size = _number(item.height_mm / CAPITAL)
    anchor = "" if item.anchor == "start" else f' text-anchor="{item.anchor}"'
    turn = f' transform="rotate({_number(-item.angle_deg)} {x} {y})"' if item.angle_deg else ""
    return (
        f'<text class="ink-{item.ink}" x="{x}" y="{y}" font-size="{size}"{anchor}{turn}>'
        f"{escape(clean(item.text))}</text>"
    )


def _path(points: Ring) -> str:
    return "M" + " ".join(f"{_number(x)} {_number(y)}" for x, y in points)


def _box(drawing: Drawing) -> str:
    x0, y0, x1, y1 = drawing.frame_mm
    return " ".join(_number(value) for value in (x0, y0, x1 - x0, y1 - y0))


def _number(value: float) -> str:
    """Return a figure with PLACES decimals at most, and none that say nothing."""
    return f"{round(value, PLACES) + 0.0:.{PLACES}f}".rstrip("0").rstrip(".")
