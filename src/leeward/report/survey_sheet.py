"""The survey of a board as records for its page: maps, rankings, a short review of each target, findings."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from leeward.report.columns import Column, Rows, long, words
from leeward.report.drawing import Drawing
from leeward.report.survey_map import board_map, layer_key, sides
from leeward.report.text_survey import basis, figures, headline
from leeward.report.wording import chance, counted, figure, sentence
from leeward.review.odds import PRIORITIES
from leeward.review.records import Finding, Priority
from leeward.survey.rankings import RANKINGS, TIGHT_MM, Ranking, ranked
from leeward.survey.records import Nearby, Survey, Target
from leeward.survey.rules import Rule, rules

MOST_NEIGHBOURS = 8  # in a short review
FIRST = 15  # of a ranking, that stand open
NAMED = 4  # parts in a line
TITLES: Mapping[Ranking, str] = {
    "shielding": "Shielding need",
    "clearance": "Nozzle clearance",
    "lift": "Pad lift risk",
}
MEANINGS: Mapping[Ranking, str] = {
    "shielding": "High: taking the part off puts a neighbour at high risk. Medium: a neighbour needs a shield, or "
    "has to come off first.",
    "clearance": f"High: no nozzle of the bench fits as the board stands. Medium: the best one has less than "
    f"{TIGHT_MM:g} mm to spare.",
    "lift": "By the land that is likeliest to lift with the part.",
}
NEIGHBOURS = (
    words("Neighbour"),
    Column("Gap", "mm"),
    Column("Body", "C"),
    Column("Joint", "C"),
    Column("Limit", "C"),
    Column("Over", "P"),
    Column("Melts", "P"),
    words("Wants"),
)
LANDS = (words("Land"), words("Net"), Column("Lifts", "P"), Column("Bears", "N"), long("Held by"))


@dataclass(frozen=True, slots=True)
class Place:
    """One line of a ranking: a target's card, its level, and the figures that put it there."""

    card: str
    ref: str
    level: Priority
    told: str


@dataclass(frozen=True, slots=True)
class Ranked:
    """One ranking: what its levels mean, and its lines, the worst first."""

    ranking: Ranking
    title: str
    meaning: str
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class Map:
    """One side of the board. `links` leads from keys in the drawing to cards, `names` says who is there."""

    title: str
    drawing: Drawing
    links: Mapping[str, str]
    names: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Told:
    """A finding as it is told: the cards of the parts that have one, and why it was accepted, if it was."""

    level: Priority
    refs: tuple[tuple[str, str], ...]  # reference and card, "" where the part has none
    figures: str
    remedy: str
    waived: str | None


@dataclass(frozen=True, slots=True)
class Kind:
    """The findings of one kind."""

    rule: Rule
    found: tuple[Told, ...]
    levels: str

    @property
    def level(self) -> Priority:
        """The highest priority among them."""
        return self.found[0].level


@dataclass(frozen=True, slots=True)
class Card:
    """The short review of one target."""

    key: str
    ref: str
    what: str
    level: Priority
    lines: tuple[str, ...]
    neighbours: Rows
    lands: Rows
    findings: tuple[tuple[str, Told], ...]  # the kind's title, the finding


@dataclass(frozen=True, slots=True)
class SurveySheet:
    """The survey of one board, as its part of a page. Keys are unique within the page by `key`."""

    key: str
    file: str
    headline: str
    basis: str
    maps: tuple[Map, ...]
    rankings: tuple[Ranked, ...]
    cards: tuple[Card, ...]
    kinds: tuple[Kind, ...]
    waived: tuple[Kind, ...]
    unused: tuple[str, ...]
    not_assessed: tuple[str, ...]
    notes: tuple[str, ...]


def survey_sheets(surveys: Sequence[Survey]) -> tuple[SurveySheet, ...]:
    """Return the surveys of some boards as the parts of one page."""
    return tuple(_sheet(f"b{number}", survey) for number, survey in enumerate(surveys, 1))


def _sheet(key: str, survey: Survey) -> SurveySheet:
    cards = {target.part.id: f"t{number}" for number, target in enumerate(survey.targets, 1)}
    return SurveySheet(
        key=key,
        file=survey.board.file,
        headline=headline(survey),
        basis=basis(survey),
        maps=tuple(
            Map(f"Seen from the {side}", board_map(survey, side, cards), _links(survey, cards), _names(survey, cards))
            for side in sides(survey)
        ),
        rankings=tuple(_ranked(survey, name, cards) for name in RANKINGS),
        cards=tuple(_card(survey, target, cards) for target in survey.targets),
        kinds=_kinds(survey.standing, cards),
        waived=_kinds([finding for finding in survey.findings if finding.waived is not None], cards),
        unused=tuple(
            f"{each.waiver.rule} ({', '.join(each.waiver.parts)}): {each.why}" for each in survey.unused_waivers
        ),
        not_assessed=tuple(f"{entry.ref}: {entry.reason}" for entry in survey.not_assessed),
        notes=survey.board.notes,
    )


def _links(survey: Survey, cards: Mapping[str, str]) -> dict[str, str]:
    return {
        layer_key(name, cards[target.part.id]): cards[target.part.id] for target in survey.targets for name in RANKINGS
    }


def _names(survey: Survey, cards: Mapping[str, str]) -> dict[str, str]:
    """Return what each part's outline in the map is called: its reference and its level in the layer's ranking."""
    names = {layer_key(name, cards[target.part.id]): target.part.ref for target in survey.targets for name in RANKINGS}
    for name in RANKINGS:
        placed = {layer_key(name, cards[target.part.id]): f"{target.part.ref}, {place}"
                  for target, place in ranked(survey, name)}  # fmt: skip
        names |= placed
    return names


def _ranked(survey: Survey, ranking: Ranking, cards: Mapping[str, str]) -> Ranked:
    tell = {"shielding": _by_need, "clearance": _by_clearance, "lift": _by_lift}[ranking]
    places = [
        Place(cards[target.part.id], target.part.ref, place, tell(survey, target))
        for target, place in ranked(survey, ranking)
    ]
    return Ranked(ranking, TITLES[ranking], MEANINGS[ranking], tuple(places))


def _by_need(_survey: Survey, target: Target) -> str:
    worst = target.worst
    if worst is None:
        return "nobody near it is warmed"
    said = [f"{len(target.in_need)} to shield", f"{len(target.high)} at high risk"]
    return f"{', '.join(said)}; least margin {figure(worst.margin_c)} C ({worst.ref})"


def _by_clearance(survey: Survey, target: Target) -> str:
    nozzle = target.nozzle
    if nozzle.id is None:
        return nozzle.why
    gap = "nothing near" if nozzle.gap_mm is None else f"{figure(nozzle.gap_mm, 1)} mm to spare"
    if nozzle.fits:
        return f"{nozzle.id}, {gap}"
    in_the_way = _listed([survey.parts.by_id[part_id].ref for part_id in nozzle.blocked_by])
    return f"{nozzle.id} does not fit" + (f": {in_the_way}" if in_the_way else "")


def _by_lift(_survey: Survey, target: Target) -> str:
    if target.heat is None or not target.heat.lands:
        return "-"
    land = target.heat.lands[0]
    return f"{chance(land.lift_risk)}, land {land.number}" + (f" ({land.net})" if land.net else "")


def _card(survey: Survey, target: Target, cards: Mapping[str, str]) -> Card:
    heat, part, by_key = target.heat, target.part, survey.by_key
    nearby = () if heat is None else heat.nearby[:MOST_NEIGHBOURS]
    lands = () if heat is None else heat.lands
    return Card(
        key=cards[part.id],
        ref=part.ref,
        what=f"{part.family.value}, {part.footprint.side} side",
        level=target.priority,
        lines=tuple(_lines(survey, target)),
        neighbours=Rows(NEIGHBOURS, [_neighbour(entry, part.footprint.side) for entry in nearby], more=_more(target)),
        lands=Rows(
            LANDS,
            [
                (
                    land.number,
                    land.net,
                    chance(land.lift_risk),
                    figure(land.capability_n, 2),
                    ", ".join(land.anchors) or "-",
                )
                for land in lands
            ],
        ),
        findings=tuple((rules()[by_key[key].rule].title, _told(by_key[key], cards)) for key in target.findings),
    )


def _more(target: Target) -> str:
    left = 0 if target.heat is None else len(target.heat.nearby) - MOST_NEIGHBOURS
    return f"and {left} more, less in need" if left > 0 else ""


def _lines(survey: Survey, target: Target) -> Iterator[str]:
    if target.hand_tool is not None:
        yield f"{sentence(target.hand_tool)}."
    if target.nozzle.id is not None and (target.heat is not None or survey.geometry_only):
        yield f"Nozzle: {_by_clearance(survey, target)}."
    if target.heat is not None:
        heat = target.heat
        melts = (
            "stays solid" if heat.seconds_to_melt is None else f"melts after {figure(heat.seconds_to_melt)} s of reflow"
        )
        yield f"Last joint: pad {heat.coldest_pad}, {figure(heat.coldest_c)} C at the end; it {melts}."
        yield f"Its own top reaches {figure(heat.top_peak_c)} C of {figure(target.part.limit_c.value)} C."
        yield f"{sentence(_by_need(survey, target))}."


def _neighbour(entry: Nearby, side: str) -> tuple[str, ...]:
    return (
        entry.ref + ("" if entry.side == side else " (other side)"),
        figure(entry.gap_mm, 1),
        figure(entry.body_peak_c),
        figure(entry.joint_peak_c),
        figure(entry.limit_c),
        chance(entry.probability_over),
        chance(entry.probability_joint_melts),
        ", ".join(entry.shield),
    )


def _kinds(findings: Sequence[Finding], cards: Mapping[str, str]) -> tuple[Kind, ...]:
    """Return findings by kind, in the order of each kind's first: they are ranked."""
    by_rule: dict[str, list[Finding]] = {}
    for finding in findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    return tuple(
        Kind(rules()[name], tuple(_told(each, cards) for each in found), _levels(found))
        for name, found in by_rule.items()
    )


def _levels(found: Sequence[Finding]) -> str:
    counts = [(sum(each.priority == level for each in found), level) for level in PRIORITIES]
    return ", ".join(f"{count} {level}" for count, level in counts if count)


def _told(finding: Finding, cards: Mapping[str, str]) -> Told:
    refs = tuple(zip(finding.refs, (cards.get(part_id, "") for part_id in finding.parts), strict=True))
    return Told(finding.priority, refs, figures(finding), sentence(finding.remedy), finding.waived)


def _listed(refs: Sequence[str]) -> str:
    left = len(refs) - NAMED
    return ", ".join(refs[:NAMED]) + (f" and {counted(left, 'other')}" if left > 0 else "")
