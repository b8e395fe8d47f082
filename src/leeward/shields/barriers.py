"""What holds heat off a part or a group: a blanket of fibre, a lid of foil, a tent of tape, a coat of wet gel.

A blanket lies on the bodies and drapes to the board. A lid is folded from foil and stands on the board round them,
with still air over the tallest. A tent is two layers of tape, adhesive inside, that stands on two legs. None may
touch the nozzle's room or the target; bodies of very different height do not go under one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from leeward.bench.records import Form, ShieldMaterial
from leeward.constants import number
from leeward.heat.covers import film_m2k_w, gap_m2k_w
from leeward.shields.candidates import (
    Candidate,
    edge_bodies,
    extent,
    free_of,
    inside,
    inside_of,
    outer_face_c,
    tallest_mm,
)
from leeward.shields.records import Shape
from leeward.shields.site import Barred, Box, Site, Standing, around, grown
from leeward.shields.traits import NOT_OVER, NOT_TENTED

SHAPES: Mapping[Form, Shape] = {"fibre": "blanket", "foil": "lid", "tape": "tent", "gel": "coat"}
NEAR_MM = 15.0  # parts further apart are not put under one lid or blanket; house rule
WALL_MM = 0.3  # room that the wall of a lid or the leg of a tent takes up; house rule
FOOT_MM = {"lid": 2.0, "tent": 5.0}  # what stands on the board at the foot of a wall; house rule
COST: dict[Shape, float] = {"blanket": 1.0, "lid": 1.05, "tent": 1.1, "coat": 1.25}  # in strips; house rule


@dataclass(frozen=True, slots=True)
class _Kit:
    """One way to cover, on one site: the shape, its material, what it must stay off."""

    site: Site
    material: ShieldMaterial
    shape: Shape
    barred: tuple[Barred, ...]

    @property
    def wall_mm(self) -> float:
        return WALL_MM if self.shape in ("lid", "tent") else 0.0


@dataclass(frozen=True, slots=True)
class _Fit:
    """A cover over members: its box, how tall it stands, the air in it, what it resists with."""

    members: tuple[Standing, ...]
    box: Box
    height_mm: float
    air_gap_mm: float | None
    resistance_m2k_w: float


def barriers(site: Site, material: ShieldMaterial, wanted: Sequence[Standing]) -> list[Candidate]:
    """Return what one material offers against hot air, for parts and pairs with all that stands between them."""
    return [] if material.form == "gel" else list(_candidates(_kit(site, material), wanted))


def coats(site: Site, gel: ShieldMaterial, wanted: Sequence[Standing]) -> list[Candidate]:
    """Return the coats of gel for parts that are heated through the board."""
    return list(_candidates(_kit(site, gel), wanted))


def cannot_be_covered(site: Site, materials: Sequence[ShieldMaterial], part: Standing) -> str:
    """Return why nothing at hand can be put over a part."""
    kits = [_kit(site, material) for material in materials]
    faults = [(kit.shape, _fault(kit, _fit(kit, [part], part.plan))) for kit in kits]
    by_fault: dict[str, list[str]] = {}
    for shape, fault in faults:
        by_fault.setdefault(fault or "another piece stands there", []).append(shape)
    said = [f"no {' or '.join(dict.fromkeys(shapes))}: {fault}" for fault, shapes in by_fault.items()]
    return ", ".join(said) or "nothing to cover it with is at hand"


def _kit(site: Site, material: ShieldMaterial) -> _Kit:
    shape = SHAPES[material.form]
    return _Kit(site, material, shape, site.barred(NOT_TENTED if shape == "tent" else NOT_OVER[material.form]))


def _candidates(kit: _Kit, wanted: Sequence[Standing]) -> Iterator[Candidate]:
    seen: set[frozenset[str]] = set()
    for first, second in combinations_with_replacement(wanted, 2):
        box = around([first.plan, second.plan])
        if _gap_mm(first.plan, second.plan) > NEAR_MM:
            continue
        members = [entry for entry in wanted if inside(entry.plan, box)]
        ids = frozenset(entry.part.id for entry in members)
        if ids in seen:
            continue
        seen.add(ids)
        fit = _fit(kit, members, box)
        if _fault(kit, fit) is None:
            yield _candidate(kit, fit)


def _fit(kit: _Kit, members: Sequence[Standing], plan: Box) -> _Fit:
    standing = kit.wall_mm > 0
    box = grown(plan, number("covers", "cut", "side_room_mm") if standing else 0.0)
    gap = number("covers", "gap", "tent_mm") if standing else None
    height = tallest_mm(inside_of(kit.site, box)) + (gap or kit.material.thickness_mm)
    return _Fit(tuple(members), box, height, gap, _resistance(kit, gap))


def _fault(kit: _Kit, fit: _Fit) -> str | None:
    """Return why a cover cannot be laid, None if it can."""
    in_the_way = free_of(grown(fit.box, kit.wall_mm), kit.barred)
    if in_the_way is not None:
        return in_the_way.said_of(fit.members[0].part)
    beside = edge_bodies(kit.site, fit.box, kit.wall_mm) if kit.wall_mm else []
    if beside:
        return f"its walls find no room beside {', '.join(entry.part.ref for entry in beside)}"
    return _too_tall(kit, fit) or _too_much(kit, fit)


def _too_tall(kit: _Kit, fit: _Fit) -> str | None:
    least = min(entry.height_mm for entry in fit.members)
    if tallest_mm(inside_of(kit.site, fit.box)) - least > number("covers", "cut", "most_step_mm"):
        return "taller bodies stand among what it would cover"
    return "it is as tall as the nozzle's head" if fit.height_mm > kit.site.skirt_top_mm else None


def _too_much(kit: _Kit, fit: _Fit) -> str | None:
    if _too_large(kit, fit):
        return "it is larger than the material"
    hot = kit.shape != "coat" and outer_face_c(kit.site, fit.box, fit.resistance_m2k_w) > kit.material.most_c
    return f"its face would pass {kit.material.most_c:.0f} C" if hot else None


def _candidate(kit: _Kit, fit: _Fit) -> Candidate:
    box = fit.box
    return Candidate(
        kind="wet-sink" if kit.shape == "coat" else "barrier",
        shape=kit.shape,
        material=kit.material,
        layers=_layers(kit),
        site=kit.site,
        box=box,
        along="u" if box[2] - box[0] >= box[3] - box[1] else "v",
        windows=(),
        serves=frozenset((entry.part.id, "shelter") for entry in fit.members),
        cost=COST[kit.shape],
        height_mm=fit.height_mm,
        air_gap_mm=fit.air_gap_mm,
        resistance_m2k_w=fit.resistance_m2k_w,
    )


def _layers(kit: _Kit) -> int:
    return 2 if kit.shape == "tent" else 1


def _resistance(kit: _Kit, gap_mm: float | None) -> float:
    if kit.shape == "coat":
        return 0.0
    film = film_m2k_w(kit.material.thickness_mm, kit.material.conductivity_w_mk, _layers(kit))
    return film if gap_mm is None else film + gap_m2k_w(gap_mm)


def _too_large(kit: _Kit, fit: _Fit) -> bool:
    length, width = sorted(extent(fit.box, "u"), reverse=True)
    widest = max(kit.material.widths_mm)
    if kit.shape == "tent":
        cut = length + 2 * (fit.height_mm + FOOT_MM["tent"])
        return width > widest or cut > 2 * number("covers", "cut", "longest_mm")
    upright = 0.0 if kit.shape == "coat" else fit.height_mm + FOOT_MM.get(kit.shape, 0.0)
    return length + 2 * upright > widest


def _gap_mm(one: Box, other: Box) -> float:
    along = max(one[0] - other[2], other[0] - one[2], 0.0)
    across = max(one[1] - other[3], other[1] - one[3], 0.0)
    return max(along, across)
