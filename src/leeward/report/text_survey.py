"""Surveys as text: what it comes to, the targets by how hard they are to rework, the findings with their remedies."""

from collections.abc import Iterator, Sequence

from leeward.parts.records import Part
from leeward.report.columns import Column, Rows, long, words
from leeward.report.screen import Block, Line, Title
from leeward.report.text_lists import STYLES
from leeward.report.wording import chance, counted, evidence_words, figure, short
from leeward.review.odds import PRIORITIES
from leeward.review.records import Finding, Priority
from leeward.survey.records import Survey, Target
from leeward.survey.rules import Rule, rules
from leeward.survey.settle import is_hand_work
from leeward.survey.spacing import Profile, profiles

MOST_TARGETS, MOST_FINDINGS, MOST_NAMED = 20, 15, 4
FEW = 8
BY_OUTLINES = (words("Priority"), words("Part"), words("Family"), words("Nozzle"), Column("Its gap", "mm"))
BY_HEAT = (
    Column("To shield"),
    Column("High"),
    words("Worst neighbour"),
    Column("Margin", "C"),
    words("Last pad"),
    Column("Lifts", "P"),
)
NOTES = long("Notes")
BOARDS = (
    words("Board"),
    Column("Targets"),
    Column("High"),
    Column("Medium"),
    Column("Findings"),
    Column("Waived"),
    Column("Known"),
)


def survey_text(surveys: Sequence[Survey], *, everything: bool) -> Iterator[Block]:
    """Yield the blocks of the text; `everything` leaves no list cut."""
    for survey in surveys:
        yield from _survey(survey, everything=everything)
    if len(surveys) > 1:
        yield Title("All boards")
        yield Rows(BOARDS, [_board_row(survey) for survey in surveys])


def rule_text(rule: Rule) -> Iterator[Block]:
    """Yield what one kind of finding means."""
    yield Line(f"{rule.id}: {rule.title}", style="bold")
    yield Line(f"Why: {rule.why}")
    yield Line(f"In the layout: {rule.do}.")
    yield Line(f"Told by: {'the computed heat' if rule.needs_heat else 'the geometry alone'}.")
    yield Line(f"Source: {rule.source}.")


def list_text() -> Iterator[Block]:
    """Yield the kinds of findings and the spacing profiles."""
    yield Title("Findings")
    yield Rows((words("Id"), long("What it says")), [(rule.id, rule.title) for rule in rules().values()])
    yield Title("Spacing profiles")
    yield Rows((words("Profile"), long("What it is"), long("Source")), [_profile(each) for each in profiles().values()])


def headline(survey: Survey) -> str:
    """Return what a survey comes to in one line."""
    levels = _levels([target.priority for target in survey.targets])
    standing = _levels([finding.priority for finding in survey.standing])
    waived = len(survey.findings) - len(survey.standing)
    more = [
        *([f"{waived} waived"] if waived else []),
        *([f"{survey.known_before} known"] if survey.known_before else []),
    ]
    found = counted(len(survey.standing), "finding")
    return f"{counted(len(survey.targets), 'target')}: {levels}; {found}: {standing}" + "".join(f"; {m}" for m in more)


def _profile(profile: Profile) -> tuple[str, str, str]:
    return profile.name, profile.title, profile.source


def _levels(priorities: Sequence[Priority]) -> str:
    return ", ".join(f"{priorities.count(level)} {level}" for level in PRIORITIES)


def _survey(survey: Survey, *, everything: bool) -> Iterator[Block]:
    yield Line(f"{survey.board.file}: {headline(survey)}", style="bold")
    yield Line(basis(survey))
    yield Title("Targets, the hardest to rework first")
    yield _targets(survey, everything=everything)
    yield Title(f"Findings ({len(survey.findings)})")
    yield from _findings(survey, everything=everything)
    yield from _waivers(survey)
    yield from _not_assessed(survey, everything=everything)


def basis(survey: Survey) -> str:
    """Return what a survey rests on, in a sentence or two."""
    profile = profiles()[survey.profile]
    seen = (
        "Geometry alone: nozzles and distances, no heat; what the copper does is not looked at."
        if survey.geometry_only
        else "Heat on a coarse model of each part's surroundings, no shields; a review of one part looks closer."
    )
    return f"{seen} Spacing profile {profile.name}: {profile.title}."


def _targets(survey: Survey, *, everything: bool) -> Rows:
    urgent = sum(target.priority == "high" for target in survey.targets)
    most = len(survey.targets) if everything else max(MOST_TARGETS, urgent)
    shown = survey.targets[:most]
    left = len(survey.targets) - len(shown)
    more = f"and {left} more; --all prints them" if left else ""
    columns = (*BY_OUTLINES, *(() if survey.geometry_only else BY_HEAT), NOTES)
    return Rows(columns, [_target(survey, target) for target in shown], [STYLES[t.priority] for t in shown], more)


def _target(survey: Survey, target: Target) -> tuple[str, ...]:
    return (
        target.priority.upper() if target.priority == "high" else target.priority,
        _named(target.part),
        target.part.family.value,
        *_nozzle(target),
        *(() if survey.geometry_only else _heat(target)),
        "; ".join(_notes(survey, target)),
    )


def _nozzle(target: Target) -> tuple[str, str]:
    if is_hand_work(target.part):
        return "-", "-"
    nozzle = target.nozzle
    return (nozzle.id or "none") + ("" if nozzle.fits else " (does not fit)"), figure(nozzle.gap_mm, 1)


def _heat(target: Target) -> tuple[str, ...]:
    heat, worst = target.heat, target.worst
    if heat is None:
        return ("-",) * len(BY_HEAT)
    return (
        str(len(target.in_need)),
        str(len(target.high)),
        "-" if worst is None else worst.ref,
        "-" if worst is None else figure(worst.margin_c),
        heat.coldest_pad,
        chance(heat.lift_risk),
    )


def figures(finding: Finding) -> str:
    """Return the numbers behind a finding; of what a ruler shows no probability is told."""
    evidence = finding.evidence
    if not rules()[finding.rule].needs_heat:
        evidence = {name: value for name, value in evidence.items() if name != "probability"}
    return evidence_words(evidence)


def _notes(survey: Survey, target: Target) -> Iterator[str]:
    if target.hand_tool is not None:
        yield target.hand_tool.split(":")[0]
    if target.heat is not None and not target.heat.reaches_reflow:
        yield "not all joints melt"
    if target.nozzle.blocked_by and not is_hand_work(target.part):
        yield f"in the way: {_list([survey.parts.by_id[part_id].ref for part_id in target.nozzle.blocked_by])}"
    if target.high:
        yield f"at high risk: {_list([entry.ref for entry in target.high])}"
    below = [entry.ref for entry in target.high if entry.side != target.part.footprint.side]
    if below:
        yield f"of these on the other side: {_list(below)}"


def _findings(survey: Survey, *, everything: bool) -> Iterator[Block]:
    if not survey.findings:
        yield Line("none")
    urgent = sum(finding.priority == "high" for finding in survey.findings)
    shown = survey.findings if everything else survey.findings[:MOST_FINDINGS]
    yield from (Line(_finding(survey, finding), mark="-") for finding in shown)
    left = len(survey.findings) - len(shown)
    if left:
        high = max(0, urgent - len(shown))
        yield Line(f"and {left} more" + (f", {high} of them high" if high else "") + "; --all prints them")


def _finding(survey: Survey, finding: Finding) -> str:
    line = survey.parts.by_id[finding.parts[0]].footprint.line
    state, told = "" if finding.waived is None else f" [waived: {finding.waived}]", figures(finding)
    return (
        f"{survey.board.file}:{line}: {finding.priority.upper()} {finding.rule}: {_list(finding.refs)}"
        f"{f'; {told}' if told else ''}. Remedy: {finding.remedy}. Source: {short(finding.source, 60)}{state}"
    )


def _waivers(survey: Survey) -> Iterator[Block]:
    if not survey.unused_waivers:
        return
    yield Title(f"Waivers that accept nothing ({len(survey.unused_waivers)})")
    for unused in survey.unused_waivers:
        yield Line(f"{unused.waiver.rule} ({', '.join(unused.waiver.parts)}): {unused.why}", mark="-")


def _not_assessed(survey: Survey, *, everything: bool) -> Iterator[Block]:
    entries = survey.not_assessed
    if not entries:
        return
    yield Title(f"Not assessed ({len(entries)})")
    shown = entries if everything else entries[:FEW]
    yield from (Line(f"{entry.ref}: {entry.reason}", mark="-") for entry in shown)
    if len(entries) > len(shown):
        yield Line(f"and {len(entries) - len(shown)} more; --all prints them")


def _board_row(survey: Survey) -> tuple[str, ...]:
    levels = [target.priority for target in survey.targets]
    return (
        survey.board.file,
        str(len(levels)),
        str(levels.count("high")),
        str(levels.count("medium")),
        str(len(survey.standing)),
        str(len(survey.findings) - len(survey.standing)),
        str(survey.known_before),
    )


def _named(part: Part) -> str:
    return part.ref + ("" if part.footprint.side == "top" else " (bottom)")


def _list(refs: Sequence[str]) -> str:
    left = len(refs) - MOST_NAMED
    return ", ".join(refs[:MOST_NAMED]) + (f" and {left} more" if left > 0 else "")
