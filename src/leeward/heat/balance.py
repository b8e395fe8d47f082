"""Where the heat of a run came from and went to, from the stored fields and the laws themselves."""

import numpy as np

from leeward.heat.grid import Floats
from leeward.heat.records import Energy, ThermalModel
from leeward.heat.run import Leg, Run


def energy(model: ThermalModel, run: Run) -> Energy:
    """Sum the heat through the faces over the run, by the laws at the stepping's own stage fields.

    Stored heat is that of the last field less that of the first, latent heat with it.
    """
    supplied = lost = taken = carried = 0.0
    for leg in run.legs:
        for flux, step_s in zip(leg.flux, np.diff(leg.time_s).tolist(), strict=True):
            air_j = float(flux.from_air_w.sum()) * step_s
            supplied += air_j + float(flux.from_heater_w.sum()) * step_s
            lost += float(flux.to_room_w.sum()) * step_s
            taken += air_j
            carried += flux.carried_w * step_s
    stored = float(np.sum(model.heat_j(run.end) - model.heat_j(run.start)))
    return Energy(supplied, stored, lost, (supplied - stored - lost) / max(supplied, 1e-9), taken, carried)


def arrivals(model: ThermalModel, run: Run) -> tuple[list[float], list[float]]:
    """Return the heat that each body took in during reflow from the nozzle's air, and by any other way, J.

    What did not come from the nozzle came through board and leads, or from the heater below.
    """
    leg = run.reflow
    jet_j = _at_nodes(model, leg, [flux.from_air_w for flux in leg.flux])
    room_j = _at_nodes(model, leg, [flux.to_room_w for flux in leg.flux])
    by_air, by_copper = [], []
    for i, body in enumerate(model.bodies.values()):
        nodes = list(body.nodes)
        stored = float(leg.body_j[-1, i] - leg.body_j[0, i])
        from_jet = float(jet_j[nodes].sum())
        by_air.append(max(from_jet, 0.0))
        by_copper.append(max(stored + float(room_j[nodes].sum()) - from_jet, 0.0))
    return by_air, by_copper


def _at_nodes(model: ThermalModel, leg: Leg, power_w: list[Floats]) -> Floats:
    """Return the heat through the faces of each node over a leg, (n,) J."""
    joules = np.diff(leg.time_s) @ np.array(power_w)
    return np.bincount(model.faces.node, joules, minlength=model.capacity_j_k.size).astype(float)
