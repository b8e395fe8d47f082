"""The survey of a board: every target assessed, the board looked at as a whole, findings ranked and sorted out."""

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fnmatch import fnmatchcase

from leeward.bench.records import Bench
from leeward.board.records import Board
from leeward.errors import NothingAssessed
from leeward.known import NotAssessed
from leeward.parts.order import natural_key
from leeward.parts.records import Part, Parts
from leeward.review.made import rank
from leeward.review.odds import PRIORITIES
from leeward.review.records import Finding, Priority
from leeward.survey.assess import Assessment
from leeward.survey.baseline import NO_BASELINE, Baseline, only_new
from leeward.survey.board_wide import fragile_parts, grids_back_to_back, heavy_below, profile_findings
from leeward.survey.ground import ground, targets
from leeward.survey.pool import Outcome, Workers
from leeward.survey.records import Nearby, Survey, Target, Waiver
from leeward.survey.spacing import Profile, profiles
from leeward.survey.waivers import waive

Progress = Callable[[int, int], None]  # how many targets are done, of how many


def quiet(_done: int, _of: int) -> None:
    """Tell nobody how far the survey is."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What the user asks of a survey."""

    patterns: tuple[str, ...] = ()  # of references or ids; none: every target
    geometry_only: bool = False
    profile: Profile = field(default_factory=lambda: next(iter(profiles().values())))
    waivers: tuple[Waiver, ...] = ()
    baseline: Baseline = NO_BASELINE
    today: datetime.date = datetime.date.min


def survey(
    board: Board, parts: Parts, bench: Bench, wish: Wish, workers: Workers, progress: Progress = quiet
) -> Survey:
    """Return the survey of a board. Raises NothingAssessed where no part is a target."""
    chosen = [part for part in targets(parts) if _is_wanted(part, wish.patterns)]
    if not chosen:
        raise _nothing(wish.patterns)
    workers.get_ready(len(chosen))
    shared = ground(board, parts, bench, geometry_only=wish.geometry_only)
    outcomes: dict[str, Outcome] = {}
    for one in workers.outcomes(shared, [part.id for part in chosen]):
        outcomes[one.part_id if isinstance(one, Assessment) else one.id] = one
        progress(len(outcomes), len(chosen))
    in_order = [outcomes[part.id] for part in chosen]
    assessed = [one for one in in_order if isinstance(one, Assessment)]
    failed = [one for one in in_order if isinstance(one, NotAssessed)]
    return _sorted_out(board, parts, wish, assessed, failed)


def nothing_found(board: Board, parts: Parts, wish: Wish) -> Survey:
    """Return the survey of a board on which no part is a target."""
    return _sorted_out(board, parts, Wish(("",), wish.geometry_only, wish.profile), [], [])


def at_or_above(findings: Sequence[Finding], gate: Priority | None) -> tuple[Finding, ...]:
    """Return the findings that stand and are at or above a gate; none without a gate."""
    if gate is None:
        return ()
    stopped = PRIORITIES[: PRIORITIES.index(gate) + 1]
    return tuple(finding for finding in findings if finding.waived is None and finding.priority in stopped)


def _is_wanted(part: Part, patterns: Sequence[str]) -> bool:
    return not patterns or any(fnmatchcase(part.ref, pattern) or part.id == pattern for pattern in patterns)


def _nothing(patterns: Sequence[str]) -> NothingAssessed:
    if patterns:
        return NothingAssessed(
            f"no target is called {' or '.join(patterns)}", do="give a pattern of references, such as 'U*'"
        )
    return NothingAssessed("no part on this board is a target", do="give a board with fitted surface-mount parts")


def _sorted_out(
    board: Board, parts: Parts, wish: Wish, assessed: Sequence[Assessment], failed: Sequence[NotAssessed]
) -> Survey:
    nearby = {one.part_id: () if one.heat is None else one.heat.nearby for one in assessed}
    found = [finding for one in assessed for finding in one.findings]
    # What concerns the whole board is told only where the whole board was looked at.
    wide = [] if wish.patterns else _board_wide(parts, wish.profile, nearby)
    everything = sorted((*found, *wide), key=rank)
    waived, unused = waive(everything, wish.waivers, wish.today)
    new = only_new(waived, wish.baseline.of(board.file))
    ranked = sorted((_target(parts, one, new) for one in assessed), key=_need)
    return Survey(
        board=board,
        parts=parts,
        profile=wish.profile.name,
        geometry_only=wish.geometry_only,
        targets=tuple(ranked),
        findings=new,
        known_before=len(waived) - len(new),
        unused_waivers=unused,
        not_assessed=(*parts.not_assessed, *failed),
    )


def _board_wide(parts: Parts, profile: Profile, nearby: Mapping[str, Sequence[Nearby]]) -> list[Finding]:
    return [
        *fragile_parts(parts, nearby),
        *heavy_below(parts),
        *grids_back_to_back(parts, nearby),
        *profile_findings(profile, parts),
    ]


def _target(parts: Parts, one: Assessment, findings: Sequence[Finding]) -> Target:
    own = [finding for finding in findings if one.part_id in finding.parts]
    standing = [finding.priority for finding in own if finding.waived is None and finding.parts[0] == one.part_id]
    worst: Priority = min(standing, key=PRIORITIES.index, default="low")
    keys = tuple(finding.key for finding in own)
    return Target(parts.by_id[one.part_id], worst, one.hand_tool, one.nozzle, one.heat, keys)


def _need(target: Target) -> tuple[object, ...]:
    """Return what targets are ranked by: priority, neighbours at high risk and in need, the worst margin."""
    margin = 0.0 if target.worst is None else target.worst.margin_c
    return (
        PRIORITIES.index(target.priority),
        -len(target.high),
        -len(target.in_need),
        margin,
        natural_key(target.part.ref),
        target.part.id,
    )
