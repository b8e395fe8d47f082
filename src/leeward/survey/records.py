"""A survey as records: every part as a target, what was found, and what was accepted or known before."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from leeward.board.records import Board, Side
from leeward.known import NotAssessed
from leeward.parts.records import Part, Parts
from leeward.review.records import Finding, Priority
from leeward.shields.records import ShieldKind


@dataclass(frozen=True, slots=True)
class Nearby:
    """One neighbour of a target, as the short review shows it."""

    id: str
    ref: str
    side: Side
    gap_mm: float
    body_peak_c: float | None
    joint_peak_c: float | None
    limit_c: float
    margin_c: float  # the worse of body and joint
    probability_over: float
    probability_joint_melts: float
    shield: tuple[ShieldKind, ...]
    priority: Priority


@dataclass(frozen=True, slots=True)
class Land:
    """One land of a target, by its risk of lifting."""

    number: str
    net: str
    area_mm2: float
    capability_n: float
    demand_n: float
    lift_risk: float
    anchors: tuple[str, ...]
    priority: Priority


@dataclass(frozen=True, slots=True)
class Nozzle:
    """What the bench has for a target. `id` is None where it has nothing that could stand over it."""

    id: str | None
    fits: bool
    gap_mm: float | None  # from its wall to the nearest body it could touch; None where none stands near
    blocked_by: tuple[str, ...]  # ids
    why: str


@dataclass(frozen=True, slots=True)
class TargetHeat:
    """How a target's heat went, on the survey's coarse model."""

    nearby: tuple[Nearby, ...]  # by shielding need
    coldest_pad: str
    coldest_c: float  # when reflow ends
    reaches_reflow: bool
    seconds_to_melt: float | None  # of the last joint, from the start of reflow; None where it stays solid
    top_peak_c: float
    lift_risk: float  # of the land likeliest to lift
    lands: tuple[Land, ...]  # the likeliest to lift first


@dataclass(frozen=True, slots=True)
class Target:
    """One part as a target. `priority` is the highest of its own findings that stand; low where there is none."""

    part: Part
    priority: Priority
    hand_tool: str | None  # why no nozzle is the tool for it; None where one is
    nozzle: Nozzle
    heat: TargetHeat | None  # None where the survey looks at the geometry alone
    findings: tuple[str, ...]  # keys

    @property
    def in_need(self) -> tuple[Nearby, ...]:
        """The neighbours that would need a shield, or something done first."""
        return () if self.heat is None else tuple(entry for entry in self.heat.nearby if entry.shield != ("none",))

    @property
    def high(self) -> tuple[Nearby, ...]:
        """The neighbours at high risk."""
        return () if self.heat is None else tuple(entry for entry in self.heat.nearby if entry.priority == "high")

    @property
    def worst(self) -> Nearby | None:
        """The neighbour with the least margin."""
        nearby = () if self.heat is None else self.heat.nearby
        return min(nearby, key=lambda entry: (entry.margin_c, entry.gap_mm, entry.id), default=None)


@dataclass(frozen=True, slots=True)
class Waiver:
    """A finding that someone has accepted: its rule, the parts it names by reference or id, and the reason."""

    rule: str
    parts: tuple[str, ...]
    reason: str
    until: datetime.date | None = None  # the last day it counts


@dataclass(frozen=True, slots=True)
class UnusedWaiver:
    """A waiver that accepts nothing, and why."""

    waiver: Waiver
    why: str


@dataclass(frozen=True, slots=True)
class Survey:
    """The survey of one board. Targets and findings are ranked; waived findings are among them and say so."""

    board: Board
    parts: Parts
    profile: str
    geometry_only: bool
    targets: tuple[Target, ...]
    findings: tuple[Finding, ...]
    known_before: int  # findings left out because the baseline has them
    unused_waivers: tuple[UnusedWaiver, ...]
    not_assessed: tuple[NotAssessed, ...]

    @property
    def standing(self) -> tuple[Finding, ...]:
        """The findings that nobody has accepted."""
        return tuple(finding for finding in self.findings if finding.waived is None)

    @property
    def by_key(self) -> Mapping[str, Finding]:
        """The findings by key."""
        return {finding.key: finding for finding in self.findings}
