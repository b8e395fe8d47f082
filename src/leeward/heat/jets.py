"""The jet of a stage, by the nozzle's outlet, and how hard it blows."""

from dataclasses import replace

from leeward.bench.records import Stage
from leeward.heat.blow import blow
from leeward.heat.bores import bore_jet, bore_pressure_pa
from leeward.heat.boxed import boxed_jet, leak_pressure_pa
from leeward.heat.covers import sheltered
from leeward.heat.loads import Jet, Loads, no_jet
from leeward.heat.records import Faces


def jet(faces: Faces, loads: Loads, stage: Stage) -> Jet:
    """Return the jet of a stage; still air where the stage has none."""
    air = blow(stage, loads)
    if air is None:
        return no_jet(faces, loads.ambient_c)
    bare = bore_jet(faces, loads, air) if loads.fit.nozzle.outlet == "round" else boxed_jet(faces, loads, air)
    h_w_m2k, decay = sheltered(bare.h_w_m2k, bare.decay, faces, loads.covers)
    return replace(bare, h_w_m2k=h_w_m2k, decay=decay)


def pressure_pa(loads: Loads, stages: tuple[Stage, ...], distance_mm: float) -> float:
    """Return the dynamic pressure, rho v2 / 2, of the strongest stage's air at a distance outside the nozzle."""
    law = bore_pressure_pa if loads.fit.nozzle.outlet == "round" else leak_pressure_pa
    blowing = [air for air in (blow(stage, loads) for stage in stages) if air is not None]
    return max((law(loads.fit, air, distance_mm) for air in blowing), default=0.0)
