"""Shields that were on during a run, as the model takes them, and whether they did what it says."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.bench.records import Bench, ShieldMaterial
from leeward.calibrate.run_file import ShieldOn
from leeward.calibrate.spots import Spot
from leeward.errors import InputError, Place
from leeward.heat.covers import Cover, Fence, Shelter, film_m2k_w, gap_m2k_w, leaky_fence, wet_gel
from leeward.parts.overrides import nearest


def shelters(shields: tuple[ShieldOn, ...], bench: Bench, run_file: str) -> tuple[Shelter, ...]:
    """Return what shields do to the heat. Raises InputError for a material that the bench does not have."""
    return tuple(_shelter(shield, bench, run_file) for shield in shields)


def behind(spot: Spot, shields: tuple[Shelter, ...]) -> bool:
    """Return whether a spot lies under a shield that holds heat off, or in a fence's lee."""
    point = shapely.Point(spot.x_mm, spot.y_mm)
    return any(shield.side == spot.side and _area(shield).contains(point) for shield in shields)


def _area(shield: Shelter) -> BaseGeometry:
    return shield.lee if isinstance(shield, Fence) else shield.area


def _shelter(shield: ShieldOn, bench: Bench, run_file: str) -> Shelter:
    area = shapely.Polygon(shield.polygon)
    if not area.is_valid or area.area <= 0:
        raise InputError(
            f"the polygon of the {shield.kind} encloses no area", do="give its corners in order", place=Place(run_file)
        )
    if shield.kind == "fence":
        return leaky_fence(shield.side, area)
    if shield.kind == "gel":
        return wet_gel(shield.side, area)
    material = _material(shield, bench, run_file)
    film = film_m2k_w(material.thickness_mm, material.conductivity_w_mk, shield.layers)
    gap = gap_m2k_w(shield.gap_mm) if shield.gap_mm > 0 else 0.0
    return Cover(shield.side, area, film + gap)


def _material(shield: ShieldOn, bench: Bench, run_file: str) -> ShieldMaterial:
    for material in bench.shields:
        if material.id == shield.material:
            return material
    known = [material.id for material in bench.shields]
    raise InputError(
        f"no shield material {shield.material} in the bench file{nearest(shield.material or '', known)}",
        do=f"name one of {', '.join(known) or 'the bench, which has none'}",
        place=Place(run_file),
    )


def bears_out(expected_gain_c: float, off_c: float) -> bool:
    """Return whether a probe behind a shield bears the model out: it gains, and is off by a third of that at most."""
    return bool(expected_gain_c >= LEAST_GAIN_C and np.abs(off_c) <= expected_gain_c / 3)


LEAST_GAIN_C = 10.0  # a shield that is to bring less proves nothing; house rule
