"""Grounds to lay shields on: a nozzle over an invented quad, neighbours round it, air as the test wants it."""

import numpy as np
import shapely

from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.bench.records import Bench, Form, NozzleFit, ShieldMaterial
from leeward.heat.records import Exposure
from leeward.parts.records import Part
from leeward.shields.site import Site, Where, site
from thermal_boards import parts, square

OUTLINE = square(0, 0, 120.0)
NOWHERE = np.empty(0)
NO_AIR = Exposure(NOWHERE, NOWHERE, NOWHERE > 0, NOWHERE, NOWHERE, NOWHERE)


def air_everywhere(h_w_m2k: float, air_c: float, face_c: float) -> Exposure:
    """Return the same air over every square millimetre of the top."""
    x, y = (plane.ravel() for plane in np.meshgrid(np.arange(-60.0, 60.0), np.arange(-60.0, 60.0)))
    full = np.ones(x.size)
    return Exposure(x, y, full > 0, h_w_m2k * full, air_c * full, face_c * full)


def nozzle_over(target: Part, *others: Part, bench: Bench | None = None) -> NozzleFit:
    """Return the nozzle that fits best."""
    return fits(parts(target, *others), target, bench or read_bench())[0]


def top_of(target: Part, *others: Part, exposure: Exposure = NO_AIR) -> Site:
    """Return the side that is worked on."""
    where = Where(OUTLINE, exposure)
    return site(parts(target, *others), target, nozzle_over(target, *others), read_bench(), "top", where)


def bottom_of(target: Part, *others: Part) -> Site:
    """Return the other side."""
    where = Where(OUTLINE, NO_AIR)
    return site(parts(target, *others), target, nozzle_over(target, *others), read_bench(), "bottom", where)


def material(form: Form) -> ShieldMaterial:
    """Return the default bench's material of a form."""
    return next(each for each in read_bench().shields if each.form == form)


def box(shape: shapely.Geometry) -> tuple[float, float, float, float]:
    """Return the bounds of a shape."""
    return shape.bounds  # type: ignore[no-any-return]  # shapely is not typed
