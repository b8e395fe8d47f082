"""What a cover does to the faces that it lies over, a fence to those behind it, wet gel to those that it wets.

A cover puts a resistance in the way of the air: U = 1 / (1/h + R). Of tape R is thickness over conductivity; a
tent or a lid adds still air, 1 / (k_air/gap + h_radiation): the gap holds the heat off, not the film. A fence breaks
the wall jet: behind it h is no more than that of a leaky dam, and the air has lost a share of its excess. Gel holds
what it wets at the boiling point of its water for as long as there is any.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Side
from leeward.constants import number
from leeward.heat.air import air
from leeward.heat.grid import Floats
from leeward.heat.records import Bools, Faces


@dataclass(frozen=True, slots=True)
class Cover:
    """Something laid over an area of one side, board frame."""

    side: Side
    area: BaseGeometry
    resistance_m2k_w: float


@dataclass(frozen=True, slots=True)
class Fence:
    """A wall against the wall jet; `lee` is the area behind it, board frame."""

    side: Side
    lee: BaseGeometry
    h_w_m2k: float
    excess_share: float


@dataclass(frozen=True, slots=True)
class WetSink:
    """Gel over an area of one side, board frame."""

    side: Side
    area: BaseGeometry
    contact_w_m2k: float
    boils_c: float


Shelter: TypeAlias = Cover | Fence | WetSink


@dataclass(frozen=True, slots=True)
class Contact:
    """What faces meet besides the nozzle's air, (m,) each: exchange with a heater or wet gel, view of the room."""

    w_m2k: Floats
    celsius: Floats | float
    room: Floats


def leaky_fence(side: Side, lee: BaseGeometry) -> Fence:
    """Return the fence that a person folds from foil, as the data file `covers` has it."""
    return Fence(side, lee, number("covers", "fence", "h_w_m2k"), number("covers", "fence", "excess_share"))


def wet_gel(side: Side, area: BaseGeometry) -> WetSink:
    """Return gel over an area, as the data file `covers` has it."""
    return WetSink(side, area, number("covers", "wet", "contact_w_m2k"), number("covers", "wet", "boils_c"))


def film_m2k_w(thickness_mm: float, conductivity_w_mk: float, layers: int = 1) -> float:
    """Return the resistance of layers that touch, t / k each."""
    return layers * thickness_mm * 1e-3 / conductivity_w_mk


def gap_m2k_w(gap_mm: float) -> float:
    """Return the resistance of still air under a tent or a lid, 1 / (k/g + h_radiation)."""
    conducts = float(air(number("covers", "gap", "air_c")).conductivity_w_mk) / (gap_mm * 1e-3)
    return 1 / (conducts + number("covers", "gap", "radiation_w_m2k"))


def through_w_m2k(h_w_m2k: ArrayLike, resistance_m2k_w: ArrayLike) -> Floats:
    """Return the coefficient from the air through a resistance, U = 1 / (1/h + R), for any shapes that broadcast."""
    h = np.asarray(h_w_m2k, dtype=float)
    through: Floats = h / (1 + h * np.asarray(resistance_m2k_w, dtype=float))
    return through


def wet_seconds(flux_w_m2: float, water_kg_m2: float, start_c: float) -> float:
    """Return how long water warms up and boils off under a flux, m (c dT + h_fg) / q."""
    boils = number("covers", "wet", "boils_c")
    warming = number("covers", "wet", "specific_heat_j_kgk") * (boils - start_c)
    return water_kg_m2 * (warming + number("covers", "wet", "heat_of_evaporation_j_kg")) / flux_w_m2


def sheltered(h_w_m2k: Floats, decay: Floats, faces: Faces, shelters: tuple[Shelter, ...]) -> tuple[Floats, Floats]:
    """Return a jet's coefficient and decay with fences, covers and gel in place, (m,) each; covers that overlap add up.

    Fences come first: what a cover lets through is less of what a fence leaves.
    """
    for fence in (each for each in shelters if isinstance(each, Fence)):
        lee = lies_under(faces, fence.side, fence.lee)
        h_w_m2k = np.where(lee, np.minimum(h_w_m2k, fence.h_w_m2k), h_w_m2k)
        decay = np.where(lee, decay * fence.excess_share, decay)
    for cover in (each for each in shelters if not isinstance(each, Fence)):
        under = lies_under(faces, cover.side, cover.area)
        through = 0.0 if isinstance(cover, WetSink) else through_w_m2k(h_w_m2k, cover.resistance_m2k_w)
        h_w_m2k = np.where(under, through, h_w_m2k)
    return h_w_m2k, decay


def covered(contact: Contact, faces: Faces, shelters: tuple[Shelter, ...]) -> Contact:
    """Return what the faces meet besides air with covers and gel in place.

    The loss to the room depends on temperature; its share is taken at the coefficient of a warm board.
    """
    still = number("covers", "room", "loss_w_m2k")
    for cover in (each for each in shelters if not isinstance(each, Fence)):
        under = lies_under(faces, cover.side, cover.area)
        if isinstance(cover, WetSink):
            contact = Contact(
                np.where(under, cover.contact_w_m2k, contact.w_m2k),
                np.where(under, cover.boils_c, contact.celsius),
                np.where(under, 0.0, contact.room),
            )
        else:
            resistance = np.where(under, cover.resistance_m2k_w, 0.0)
            contact = replace(
                contact, w_m2k=through_w_m2k(contact.w_m2k, resistance), room=contact.room / (1 + still * resistance)
            )
    return contact


@lru_cache(maxsize=256)  # asked for by every setting that is tried with a plan on
def lies_under(faces: Faces, side: Side, area: BaseGeometry) -> Bools:
    """Return which faces of a side lie in an area, (m,); the target's own never do."""
    x0, y0, x1, y1 = area.bounds
    inside = faces.facing(side) & ~faces.of_target
    inside &= (faces.x_mm >= x0) & (faces.x_mm <= x1) & (faces.y_mm >= y0) & (faces.y_mm <= y1)
    near = np.flatnonzero(inside)
    inside[near] = shapely.contains_xy(area, faces.x_mm[near], faces.y_mm[near])
    return inside
