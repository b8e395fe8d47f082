"""Propose a shield plan: what each neighbour needs, what could be laid, the fewest pieces that serve, a decision each.

Against moving air only tape serves: a blanket that lies on molten chips shifts them. Against hot air one piece is
enough for a part, because no more than one credit is given; a fence serves all that stand in its lee.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.bench.records import Bench, NozzleFit, ShieldMaterial
from leeward.board.records import Side
from leeward.chance import LIKELY
from leeward.heat.covers import Cover, Shelter, leaky_fence, wet_gel
from leeward.heat.records import Heat
from leeward.parts.order import natural_key
from leeward.parts.records import Alloy, Part, Parts
from leeward.shields import fence
from leeward.shields.barriers import WALL_MM, barriers, cannot_be_covered, coats
from leeward.shields.candidates import Candidate, Service
from leeward.shields.choose import choose
from leeward.shields.decide import Need, need
from leeward.shields.effect import most_credit_c
from leeward.shields.exposed import exposed
from leeward.shields.pieces import fence_piece, piece, settled_among
from leeward.shields.records import Decision, Piece, ShieldKind, ShieldPlan
from leeward.shields.site import Site, Where, grown, site
from leeward.shields.strips import cannot_be_taped, ground, sheets, strips, trimmed

FENCE_COST = 1.2  # in strips: it slows the target; house rule
RIDER_GAIN, MOST_RIDERS = 0.005, 40  # off a fence's cost for each part that is glad of it, in strips; house rule
SIDES: tuple[Side, Side] = ("top", "bottom")
NO_SHIELDS = ShieldPlan((), {}, {}, {})


@dataclass(frozen=True, slots=True)
class Job:
    """What a plan is made for: the nozzle in place over the target, what the bare job does, what is at hand."""

    parts: Parts
    target: Part
    fit: NozzleFit
    heat: Heat
    bench: Bench
    alloy: Alloy
    outline: BaseGeometry  # of the target's board, board frame


@dataclass(frozen=True, slots=True)
class _Offer:
    """One thing that could be laid or stood up."""

    what: Candidate | fence.Run
    site: Site
    serves: frozenset[Service]  # of those that must be served
    riders: frozenset[str]  # parts that are glad of it, by id
    cost: float
    foil: ShieldMaterial | None = None

    @property
    def rigid(self) -> BaseGeometry | None:
        """The ground that nothing else rigid may stand on; None of tape, which other pieces may lie on."""
        if isinstance(self.what, fence.Run):
            return shapely.union_all(fence.grounds(self.what))
        flat = self.what.shape in ("strip", "sheet")
        return None if flat else shapely.box(*grown(self.what.box, 0.0 if self.what.shape == "blanket" else WALL_MM))


def propose(job: Job, no_fence: str | None = None) -> ShieldPlan:
    """Return the plan for a job as it was solved bare; `no_fence` says why it may have no fence, None if it may."""
    forms = frozenset(material.form for material in job.bench.shields)
    worked, credit_c = job.target.footprint.side, most_credit_c(job.bench, job.fit.nozzle)
    entries = exposed(job.parts, job.target, job.heat, job.alloy)
    needs = {entry.part.id: need(entry, worked, forms, credit_c) for entry in entries}
    where = Where(job.outline, job.heat.exposure)
    sites = {side: site(job.parts, job.target, job.fit, job.bench, side, where) for side in SIDES}
    offers = [offer for side in SIDES for offer in _offers(job, sites[side], needs, with_fences=no_fence is None)]
    chosen = [*_chosen(offers, "hold"), *_chosen(offers, "shelter")]
    pieces = settled_among([_piece(offer) for offer in chosen])
    served = {service for offer in chosen for service in offer.serves}
    unmet = {
        part_id: _unmet(job, sites[one.part.footprint.side], one, served, no_fence or "no fence shelters it")
        for part_id, one in needs.items()
        if _musts(one) - served
    }
    return decided(tuple(pieces), needs, unmet)


def decided(pieces: tuple[Piece, ...], needs: Mapping[str, Need], unmet: Mapping[str, str]) -> ShieldPlan:
    """Return the plan of pieces with a decision for every part."""
    return ShieldPlan(
        pieces, needs, unmet, {part_id: _decision(one, pieces, unmet.get(part_id)) for part_id, one in needs.items()}
    )


def without(plan: ShieldPlan, idle: Mapping[int, str]) -> ShieldPlan:
    """Return a plan without some pieces, by number; `idle` says why each is left out."""
    kept = [each for each in plan.pieces if each.number not in idle]
    left = {part_id: idle[each.number] for each in plan.pieces if each.number in idle for part_id in each.covers}
    still = {part_id for each in kept if each.kind != "air-mask" for part_id in each.covers}
    unmet = {**plan.unmet, **{i: why for i, why in left.items() if i not in still and i in plan.needs}}
    return decided(tuple(settled_among(kept)), plan.needs, unmet)


def shelters(plan: ShieldPlan) -> tuple[Shelter, ...]:
    """Return what the pieces do to the heat."""
    return tuple(_shelter(each) for each in plan.pieces)


def plan_cautions(plan: ShieldPlan) -> tuple[str, ...]:
    """Return the cautions that go with the pieces of a plan."""
    forms = {each.material.form for each in plan.pieces}
    texts = (
        ("tape", "Tape: peel it slowly (it charges), the solder solid, the board under 60 C; clean off its residue."),
        ("foil", "Foil shorts cells, charged capacitors and open contacts: power off, cells out, all discharged."),
        ("fibre", "Fibre sheds: do not breathe its dust."),
        ("gel", "Gel wicks under parts: keep it off the target and off what is not sealed."),
    )
    return tuple(text for form, text in texts if form in forms)


def _offers(job: Job, here: Site, needs: Mapping[str, Need], *, with_fences: bool) -> list[_Offer]:
    """Return all that could be laid on one side for those who need it."""
    standing = [entry for entry in here.standing if entry.part.id in needs]
    held = [entry for entry in standing if needs[entry.part.id].hold]
    warmed = [entry for entry in standing if needs[entry.part.id].against == "air" and needs[entry.part.id].must]
    wet = [entry for entry in standing if needs[entry.part.id].sink]
    candidates: list[Candidate] = []
    for material in job.bench.shields:
        if material.form == "tape":
            tape_ground = ground(here, material)
            taped = [entry for entry in held if cannot_be_taped(tape_ground, entry) is None]
            candidates += [*strips(tape_ground, taped), *sheets(tape_ground, taped)]
        candidates += barriers(here, material, warmed)
        if material.form == "gel":
            candidates += coats(here, material, wet)
    laid = [_Offer(each, here, each.serves, frozenset(), each.cost) for each in candidates]
    return [*laid, *(_fences(job, here, needs) if with_fences else [])]


def _fences(job: Job, here: Site, needs: Mapping[str, Need]) -> list[_Offer]:
    foil = next((material for material in job.bench.shields if fence.suits(material)), None)
    if here.nozzle is None or foil is None:
        return []
    wall = here.frame.local(job.fit.outside).bounds
    offers = []
    for run in dict.fromkeys(run for runs in fence.fences(here, wall) for run in runs):
        behind = [needs[part_id] for part_id in fence.sheltered(run, here) if part_id in needs]
        glad = [one for one in behind if one.against == "air"]
        serves: frozenset[Service] = frozenset((one.part.id, "shelter") for one in glad if one.must)
        cost = FENCE_COST - RIDER_GAIN * min(len(glad), MOST_RIDERS)
        offers.append(_Offer(run, here, serves, frozenset(one.part.id for one in glad), cost, foil))
    return [offer for offer in offers if offer.serves]


def _chosen(offers: Sequence[_Offer], what: Literal["hold", "shelter"]) -> list[_Offer]:
    """Return the offers to take for one kind of service; tape and what stands over it do not meet."""
    some = [offer for offer in offers if any(service[1] == what for service in offer.serves)]
    taken = choose([offer.serves for offer in some], [offer.cost for offer in some], _clash(some))
    chosen = [some[i] for i in taken]
    return _once_each(chosen) if what == "hold" else chosen


def _once_each(chosen: Sequence[_Offer]) -> list[_Offer]:
    """Return tape cut down so that no part is taped twice: what serves most keeps all that it serves."""
    left = {service for offer in chosen for service in offer.serves}
    kept: list[_Offer] = []
    for offer in sorted(chosen, key=lambda each: -len(each.serves)):
        own = offer.serves & left
        left -= own
        if own and isinstance(offer.what, Candidate):
            here = offer.site
            served = [entry for entry in here.standing if (entry.part.id, "hold") in own]
            cut = trimmed(ground(here, offer.what.material), offer.what, served)
            kept.append(_Offer(cut, here, cut.serves, frozenset(), cut.cost))
    return kept


def _clash(offers: Sequence[_Offer]) -> Callable[[int, int], bool]:
    grounds = [offer.rigid for offer in offers]

    def clash(a: int, b: int) -> bool:
        one, other = grounds[a], grounds[b]
        if offers[a].site.side != offers[b].site.side or one is None or other is None:
            return False
        return bool(one.intersection(other).area > 1e-6)

    return clash


def _piece(offer: _Offer) -> Piece:
    if isinstance(offer.what, Candidate):
        return piece(offer.what)
    if offer.foil is None:
        raise ValueError("a fence is folded from foil")
    covers = offer.riders | {part_id for part_id, _ in offer.serves}
    return replace(fence_piece(offer.what, offer.site, offer.foil), covers=_in_order(covers, offer.site))


def _in_order(ids: frozenset[str], here: Site) -> tuple[str, ...]:
    refs = {entry.part.id: entry.part.ref for entry in here.standing}
    return tuple(sorted(ids, key=lambda part_id: (natural_key(refs[part_id]), part_id)))


def _musts(one: Need) -> frozenset[Service]:
    """Return what must be served for a part."""
    hold: frozenset[Service] = frozenset({(one.part.id, "hold")}) if one.hold else frozenset()
    warm = (one.against == "air" and one.must) or one.sink
    shelter: frozenset[Service] = frozenset({(one.part.id, "shelter")}) if warm else frozenset()
    return hold | shelter


def _unmet(job: Job, here: Site, one: Need, served: set[Service], no_fence: str) -> str:
    """Return why something cannot be done for a part; `no_fence` says why no fence does."""
    part = next((entry for entry in here.standing if entry.part.id == one.part.id), None)
    if part is None:
        return "it stands too far off for a shield square to the nozzle"
    said = []
    if (one.part.id, "hold") in _musts(one) - served:
        tapes = [material for material in job.bench.shields if material.form == "tape"]
        reasons = [cannot_be_taped(ground(here, tape), part) for tape in tapes]
        said.append(f"no tape: {next((r for r in reasons if r), 'none is at hand')}")
    if (one.part.id, "shelter") in _musts(one) - served:
        covers = [material for material in job.bench.shields if material.form in ("tape", "foil", "fibre")]
        said.append(f"{cannot_be_covered(here, covers, part)}; {no_fence}")
    return "; ".join(said)


def _decision(one: Need, pieces: tuple[Piece, ...], unmet: str | None) -> Decision:
    part_id = one.part.id
    mine = [each for each in pieces if part_id in each.covers]
    kinds: list[ShieldKind] = ["take-off-first"] if one.take_off else []
    kinds += ["air-mask"] if one.hold else []
    kinds += [each.kind for each in mine if each.kind != "air-mask"]
    copper = one.against == "copper" and (one.must or one.exposed.melts >= LIKELY)
    if unmet or (copper and not one.take_off and not any(each.kind == "wet-sink" for each in mine)):
        kinds.append("cannot")
    unique: tuple[ShieldKind, ...] = tuple(dict.fromkeys(kinds)) or ("none",)
    return Decision(part_id, unique, f"{one.why}; {unmet}" if unmet else one.why)


def _shelter(each: Piece) -> Shelter:
    if each.kind == "fence":
        return leaky_fence(each.side, each.lee)
    if each.kind == "wet-sink":
        return wet_gel(each.side, each.area)
    return Cover(each.side, each.area, each.resistance_m2k_w)
