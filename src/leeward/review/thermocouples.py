"""The few places where a thermocouple tells most."""

from leeward.heat.records import Heat, JointHeat
from leeward.review.records import Case, Neighbour, Thermocouple
from leeward.shields.exposed import plan_of


def thermocouples(case: Case, neighbours: tuple[Neighbour, ...]) -> tuple[Thermocouple, ...]:
    """Return three to five places: last joint, body's top, the neighbour most in need on each side."""
    target = case.target
    joint, middle = coldest(case).joint, target.body.centroid
    places = [
        Thermocouple(joint.x_mm, joint.y_mm, joint.side, f"{target.ref} pad {joint.pad}", "the last joint to melt"),
        Thermocouple(
            middle.x,
            middle.y,
            target.footprint.side,
            f"{target.ref}, middle of its top",
            "its body limit is read there",
        ),
    ]
    for side in (target.footprint.side, "bottom" if target.footprint.side == "top" else "top"):
        worst = next((n for n in neighbours if n.part.footprint.side == side and n.body_peak_c is not None), None)
        if worst is not None:
            at = plan_of(worst.part).centroid
            places.append(
                Thermocouple(at.x, at.y, worst.part.footprint.side, worst.part.ref, f"most at risk on the {side}")
            )
    return tuple(places)


def coldest(case: Case) -> JointHeat:
    """Return the target's joint that is coldest at the lift."""
    return coldest_of(case.heat, case.target.id)


def coldest_of(heat: Heat, part_id: str) -> JointHeat:
    """Return the joint of a part that is coldest in a run."""
    return min(heat.of_part(part_id), key=lambda joint: (joint.peak_c, joint.joint.pad))


def hottest(case: Case) -> JointHeat:
    """Return the target's joint that gets hottest."""
    return max(case.heat.of_part(case.target.id), key=lambda joint: (joint.peak_c, joint.joint.pad))
