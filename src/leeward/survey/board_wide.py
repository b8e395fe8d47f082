"""What is wrong with the board as a whole: parts that many others suffer from, sides, pairs, distances."""

from collections.abc import Iterable, Mapping, Sequence
from math import log

from leeward.chance import probability_above
from leeward.parts.records import Part, Parts
from leeward.review.neighbours import drop_ratio
from leeward.review.records import Finding, Severity
from leeward.survey.made import made
from leeward.survey.records import Nearby
from leeward.survey.spacing import Profile, too_close

MANY = 3  # a fragile part in the heat of so many targets is a weak spot of the board; house rule
WORTH_NAMING = 0.05
FRAGILE = ("C", "D")
DROP_LOG_SPREAD = 0.35  # doubt of the practice limit for hanging parts, a factor of 1.4 either way; house rule
OVERLAPPING_GRIDS = 0.1  # chance that the far grid half melts where no heat was computed; house rule


def fragile_parts(parts: Parts, nearby: Mapping[str, Sequence[Nearby]]) -> list[Finding]:
    """Return the fragile parts in the heat of several targets, and those that must come off first; by target's id."""
    by_part: dict[str, list[Nearby]] = {}
    for entries in nearby.values():
        for entry in entries:
            by_part.setdefault(entry.id, []).append(entry)
    judged = (_fragile(parts.by_id[part_id], entries) for part_id, entries in by_part.items())
    return [finding for finding in judged if finding is not None]


def _fragile(part: Part, entries: Sequence[Nearby]) -> Finding | None:
    hurt = [entry for entry in entries if entry.probability_over >= WORTH_NAMING]
    if not hurt:
        return None
    worst = max(entry.probability_over for entry in hurt)
    evidence = {"targets": float(len(hurt)), "limit_c": part.limit_c.value}
    if part.fragile_class == "E":
        severity: Severity = "injury" if "lithium-cell" in part.hazards else "part lost"
        return made("must-come-off-first", (part,), severity, worst, evidence, source=part.limit_c.source)
    if part.fragile_class in FRAGILE and len(hurt) >= MANY:
        return made("fragile-in-many-zones", (part,), "part lost", worst, evidence, source=part.limit_c.source)
    return None


def heavy_below(parts: Parts) -> list[Finding]:
    """Return the surface-mount parts on the second side whose mass asks too much of their molten joints.

    The second side is the one whose parts weigh less together: it is soldered first and hangs afterwards.
    """
    fitted = [part for part in parts.by_id.values() if part.footprint.fitted and part.surface_mount and part.reworkable]
    mass = {side: sum(p.mass_mg.value for p in fitted if p.footprint.side == side) for side in ("top", "bottom")}
    second = "top" if mass["top"] < mass["bottom"] else "bottom"
    found = []
    for part in (part for part in fitted if part.footprint.side == second):
        ratio = drop_ratio(part)
        probability = probability_above(log(max(ratio, 1e-9)), 0.0, DROP_LOG_SPREAD)
        if probability >= WORTH_NAMING:
            evidence = {"mass_mg": part.mass_mg.value, "ratio": ratio}
            found.append(made("heavy-on-second-side", (part,), "part lost", probability, evidence))
    return found


def grids_back_to_back(parts: Parts, nearby: Mapping[str, Sequence[Nearby]]) -> list[Finding]:
    """Return the pairs of ball grids that overlap in plan on both sides of the board."""
    grids = [p for p in parts.by_id.values() if p.lead_style.value == "ball-grid" and not p.body.is_empty]
    top, bottom = ([grid for grid in grids if grid.footprint.side == side] for side in ("top", "bottom"))
    return [_pair(a, b, nearby) for a in top for b in bottom if a.body.intersection(b.body).area > 0]


def _pair(a: Part, b: Part, nearby: Mapping[str, Sequence[Nearby]]) -> Finding:
    computed = [*_melts(nearby.get(a.id, ()), b.id), *_melts(nearby.get(b.id, ()), a.id)]
    probability = max(computed) if computed else OVERLAPPING_GRIDS
    evidence = {"overlap_mm2": float(a.body.intersection(b.body).area)}
    return made("ball-grids-back-to-back", (a, b), "part lost", probability, evidence)


def _melts(entries: Iterable[Nearby], part_id: str) -> list[float]:
    return [entry.probability_joint_melts for entry in entries if entry.id == part_id]


def profile_findings(profile: Profile, parts: Parts) -> list[Finding]:
    """Return the pairs of parts that stand nearer than a profile asks; what is short of it counts as likelihood."""
    fitted = [p for p in parts.by_id.values() if p.footprint.fitted and p.reworkable and not p.body.is_empty]
    found = []
    for entry in too_close(profile, fitted):
        evidence = {"gap_mm": entry.gap_mm, "asked_mm": entry.asked_mm, "short_mm": entry.asked_mm - entry.gap_mm}
        share = evidence["short_mm"] / entry.asked_mm
        source = f"profile {profile.name}: {profile.source}"
        pair, remedy = (entry.part, entry.other), f"move the two {evidence['short_mm']:.1f} mm further apart"
        found.append(made("too-close-for-profile", pair, "part lost", share, evidence, remedy=remedy, source=source))
    return found
