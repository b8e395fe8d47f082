"""The layers of the board from top to bottom, from the file or from stated defaults."""

from dataclasses import replace
from typing import Literal

from leeward.board.nodes import child, children, extent, text
from leeward.board.records import StackLayer, Stackup
from leeward.board.sexpr import Node
from leeward.constants import number

Kind = Literal["copper", "dielectric", "mask"]


def stackup(root: Node, copper: tuple[str, ...], thickness_mm: float) -> Stackup:
    """Return the file's stackup, or the default where it gives none or one with other copper layers."""
    setup = child(root, "setup")
    block = None if setup is None else child(setup, "stackup")
    if block is None:
        return default_stackup(copper, thickness_mm, "the file gives no stackup")
    layers = tuple(layer for node in children(block, "layer") for layer in _layers(node))
    if tuple(layer.name for layer in layers if layer.kind == "copper") != copper:
        return default_stackup(copper, thickness_mm, "the file's stackup has other copper layers than its layer table")
    missing = [layer for layer in layers if _lacks_thickness(layer)]
    if not missing:
        return Stackup(layers, "the file's stackup")
    assumed = _with_thickness(layers, thickness_mm)
    return Stackup(assumed, f"the file's stackup, thickness assumed of {', '.join(layer.name for layer in missing)}")


def default_stackup(copper: tuple[str, ...], thickness_mm: float, why: str) -> Stackup:
    """Return masks, equal copper layers, and dielectrics that fill the rest of the thickness.

    With four or more copper layers the outer dielectrics are prepreg of KiCad's own default thickness; the
    rest is shared equally.
    """
    foil, mask = number("stackup", "copper", "thickness"), number("stackup", "mask", "thickness")
    gaps = max(1, len(copper) - 1)
    rest = max(0.0, thickness_mm - foil * len(copper) - 2 * mask)
    outer = min(number("stackup", "outer_prepreg", "thickness"), rest / gaps) if gaps > 2 else rest / gaps
    inner = (rest - 2 * outer) / (gaps - 2) if gaps > 2 else outer
    layers = [StackLayer("F.Mask", "mask", mask, None)]
    for index, name in enumerate(copper):
        layers.append(StackLayer(name, "copper", foil, None))
        if index < gaps:
            thick = outer if index in (0, gaps - 1) else inner
            layers.append(StackLayer(f"dielectric {index + 1}", "dielectric", thick, "FR4"))
    layers.append(StackLayer("B.Mask", "mask", mask, None))
    return Stackup(tuple(layers), f"default, because {why}: {thickness_mm:g} mm of FR4 with {foil:g} mm copper")


def _lacks_thickness(layer: StackLayer) -> bool:
    return layer.kind != "mask" and layer.thickness_mm <= 0


def _with_thickness(layers: tuple[StackLayer, ...], thickness_mm: float) -> tuple[StackLayer, ...]:
    """Return the layers, copper without thickness as the default foil, dielectrics sharing the rest."""
    foil = number("stackup", "copper", "thickness")
    layers = tuple(
        replace(layer, thickness_mm=foil) if layer.kind == "copper" and _lacks_thickness(layer) else layer
        for layer in layers
    )
    empty = sum(1 for layer in layers if _lacks_thickness(layer))
    share = max(0.0, thickness_mm - sum(layer.thickness_mm for layer in layers)) / max(1, empty)
    return tuple(replace(layer, thickness_mm=share) if _lacks_thickness(layer) else layer for layer in layers)


def _layers(node: Node) -> list[StackLayer]:
    """Return the layer that a stackup entry describes, or each sheet of a dielectric made of several."""
    name, kind = str(node[1]) if len(node) > 1 else "", _kind(text(node, "type"))
    if kind is None:
        return []
    sheets: list[Node] = [["sheet"]]
    for entry in node[2:]:
        if entry == "addsublayer":
            sheets.append(["sheet"])
        elif isinstance(entry, list):
            sheets[-1].append(entry)
    return [StackLayer(name, kind, extent(s, "thickness", 0.0), text(s, "material") or None) for s in sheets]


def _kind(written: str) -> Kind | None:
    word = written.lower()
    if word == "copper":
        return "copper"
    if "mask" in word:
        return "mask"
    return "dielectric" if word in ("core", "prepreg", "dielectric") else None
