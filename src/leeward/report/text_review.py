"""Reviews as text: the verdict first, then the setup, the three ranked lists, and what to do."""

from collections.abc import Iterable, Iterator, Sequence

from leeward.heat.records import Heat
from leeward.job import WorkSequence
from leeward.report.bench_words import calibrated_with
from leeward.report.screen import Block, Line, Title
from leeward.report.text_lists import (
    MELTS_NOTE,
    clearance_rows,
    joint_rows,
    loose_rows,
    neighbour_rows,
    pad_rows,
    stage_rows,
    thermocouple_rows,
)
from leeward.report.text_shields import shields_section
from leeward.report.wording import (
    DOUBTS,
    chance,
    counted,
    direction,
    doubted,
    figure,
    force,
    listed,
    sentence,
    short,
    turn,
    within,
)
from leeward.review.records import AfterLift, Case, Finding, Lift, Opposite, Review
from leeward.review.thermocouples import coldest

FEW = 8  # findings and parts not assessed are cut to so many without --all


def review_text(
    reviews: Sequence[Review], sequence: WorkSequence, held: Sequence[str], *, everything: bool
) -> Iterator[Block]:
    """Yield the blocks of the text, targets in work order; `everything` leaves no list cut."""
    by_id = {review.case.target.id: review for review in reviews}
    refs = {part_id: review.case.target.ref for part_id, review in by_id.items()}
    if len(reviews) > 1:
        yield from _sequence(sequence, refs)
    for part_id in sequence.order:
        yield from _target(by_id[part_id], held, everything=everything)


def _sequence(sequence: WorkSequence, refs: dict[str, str]) -> Iterator[Block]:
    yield Line(f"Work in this order: {', '.join(refs[part_id] for part_id in sequence.order)}", style="bold")
    for (first, then), why in zip(sequence.take_off_first, sequence.because, strict=True):
        yield Line(f"{refs[first]} comes off before {refs[then]}: {why}", mark="-")
    for ring in sequence.cycles:
        yield Line(
            f"no order satisfies {', '.join(refs[part_id] for part_id in ring)}: each wants another off first", mark="-"
        )
    yield Title("")


def _target(review: Review, held: Sequence[str], *, everything: bool) -> Iterator[Block]:
    yield Line(verdict(review), style="bold")
    yield from _setup(review.case, held)
    yield Title("Neighbours, by shielding need")
    yield from _neighbours(review, everything=everything)
    yield from shields_section(review)
    yield Title("Nozzles, by clearance")
    yield clearance_rows(review, everything=everything)
    yield Title("Joints, the last to melt first")
    yield joint_rows(review, everything=everything)
    yield Line(MELTS_NOTE)
    yield Title("Lands, by risk of lifting")
    yield pad_rows(review, everything=everything)
    yield Line(lands_note(review))
    yield Title("The lift")
    yield from lift_lines(review.lift)
    if review.loose:
        yield Title("Parts that may move")
        yield loose_rows(review, everything=everything)
    yield Title("The other side")
    yield from other_side_lines(review.opposite, everything=everything)
    yield from _findings(review.findings, everything=everything)
    yield Title("Work order")
    for step in review.work_order:
        yield Line(f"{step.do} ({step.why})", mark=f"{step.step:>2}.")
    yield Title("After the lift")
    yield from after_lift_lines(review.after_lift)
    yield Title("Thermocouples")
    yield thermocouple_rows(review)
    yield Title("Cautions")
    yield from (Line(caution, mark="!") for caution in review.cautions)
    yield from worth(review)
    yield from _not_assessed(review, everything=everything)


def verdict(review: Review) -> str:
    """Return the answer in one paragraph."""
    case = review.case
    target = case.target
    what = f"{target.ref} ({target.family.value}, {target.footprint.side}): "
    return what + "; ".join((*_tool(review), _melt(review), _own_heat(review), _need(review))) + "."


def _tool(review: Review) -> Iterator[str]:
    if review.hand_tool is not None:
        yield review.hand_tool
    fit = review.case.loads.fit
    if not fit.fits:
        yield f"nozzle {fit.nozzle.id} does not fit: {fit.why}"
    elif fit.min_gap_mm is None:
        yield f"nozzle {fit.nozzle.id} fits, with no body in reach of its walls"
    else:
        gap = figure(fit.min_gap_mm, 1)
        yield f"nozzle {fit.nozzle.id} fits, its wall {gap} mm from the nearest body it could touch"


def _melt(review: Review) -> str:
    joint = coldest(review.case)
    if joint.seconds_to_liquidus is None:
        liquidus = figure(review.case.heat.alloy_liquidus_c)
        return f"the joints do NOT all melt: pad {joint.joint.pad} stays at {figure(joint.peak_c)} C of {liquidus} C"
    return (
        f"the last joint, pad {joint.joint.pad}, melts {figure(joint.seconds_to_liquidus)} s into reflow "
        f"(likely {within(joint.window)} s)"
    )


def _own_heat(review: Review) -> str:
    heat, limit = review.case.heat, review.case.target.limit_c
    return (
        f"its top peaks at {figure(heat.target_top_peak_c)} C of {doubted(limit)} C allowed "
        f"(over the limit: {chance(review.target_over_limit)})"
    )


def _need(review: Review) -> str:
    count = {level: sum(entry.priority == level for entry in review.neighbours) for level in ("high", "medium")}
    listed = counted(len(review.neighbours), "neighbour")
    return f"of {listed} in the heat {count['high']} at high risk and {count['medium']} at medium"


def _setup(case: Case, held: Sequence[str]) -> Iterator[Block]:
    fit, recipe = case.loads.fit, case.recipe
    width, length = fit.nozzle.aperture_mm
    size = (
        f"bore {width:g} mm"
        if fit.nozzle.outlet == "round"
        else f"{fit.nozzle.outlet}, {width:g} x {length:g} mm inside"
    )
    yield Title("Setup")
    yield Line(
        f"Nozzle {fit.nozzle.id} ({size}), turned {turn(fit.rotation_deg)} degrees, {fit.standoff_mm:g} mm above the "
        f"board; {recipe.alloy}, liquid from {figure(recipe.liquidus_c)} C"
    )
    yield stage_rows(case)
    yield Line(f"{case.heat.why}. {sentence(case.answer.why)}. Times: {recipe.source}.")
    fixed = (*held, *recipe.held)
    if fixed:
        yield Line(f"Held by you: {', '.join(fixed)}.")


def _neighbours(review: Review, *, everything: bool) -> Iterator[Block]:
    if not review.neighbours:
        yield Line("none in the heat")
        return
    yield neighbour_rows(review, everything=everything)
    joint_limit = figure(review.neighbours[0].joint_limit_c)
    yield Line(
        f"P is a probability; the limit is the body's, joints are held to {joint_limit} C; the margin is the worse of "
        "the two with the model's spread; north is up as the board is drawn."
    )


def lands_note(review: Review) -> str:
    """Return what the list of lands means, and what it rests on."""
    glass = review.laminate.glass_transition_c
    cycles = counted(review.case.cycles_seen, "earlier rework")
    told = f"glass transition {doubted(glass)} C ({glass.source}); {cycles} of the site counted (--cycles)"
    return (
        "Bears: the lesser of pull and pry, with its anchors; meets: the pull on it if its joint is solid; defined by: "
        f"what sets the edge that solder wets; {told}."
    )


def lift_lines(lift: Lift) -> Iterator[Block]:
    """Yield what it takes to lift the molten part, and what may be done before."""
    yield Line(
        f"Weight {force(lift.weight_n)}, surface tension of all joints {force(lift.surface_tension_n)}; it takes "
        f"{force(lift.pull_n)} to lift it with reserve.",
        mark="-",
    )
    limit = (
        f"Before melt is confirmed no more than {force(lift.allowed_n)}, what pad {lift.weakest_pad} bears without "
        "its anchors"
    )
    plain = "" if lift.cup_protects else ": no cup force protects the lands, confirm melt first"
    yield Line(f"{limit}{plain}.", mark="-")
    room = f"its top has room for {figure(lift.largest_cup_mm, 1)} mm, the least is {figure(lift.least_cup_mm, 1)} mm"
    cup = lift.cup
    yield Line(
        f"No cup: {lift.why_no_cup}."
        if cup is None
        else f"Cup {cup.id} ({cup.diameter_mm:g} mm) at {figure(lift.vacuum_kpa)} kPa of vacuum; {room}.",
        mark="-",
    )
    yield Line(_tweezers(lift), mark="-")


def _tweezers(lift: Lift) -> str:
    way = lift.tweezers
    if way is None:
        return "Tweezers: no room for jaws on either pair of sides."
    ends = " and ".join(direction(end) for end in (way.direction_deg, way.direction_deg + 180))
    if not way.past:
        return f"Tweezers: from {ends}, nothing stands in the way."
    past = ", ".join(way.past)
    return f"Tweezers: from {ends}, {figure(way.access_deg)} degrees over the board or more to pass {past}."


def other_side_lines(opposite: Opposite, *, everything: bool) -> Iterator[Block]:
    """Yield what lies under the target, and what holds the board up."""
    under = [part.ref for part in opposite.under]
    most = len(under) if everything else FEW
    yield Line(f"Under the target: {listed(under, most) or 'nothing'}.", mark="-")
    if opposite.mirrored_grids:
        yield Line(f"Ball grid under ball grid: {', '.join(part.ref for part in opposite.mirrored_grids)}.", mark="-")
    if opposite.shared_vias:
        joined = list(dict.fromkeys(f"pad {via.pad} with {via.part.ref}" for via in opposite.shared_vias))
        named = listed(joined, len(joined) if everything else FEW)
        yield Line(f"Vias shared, heat goes straight through: {named}.", mark="-")
    places = ", ".join(f"x {figure(x)} y {figure(y)}" for x, y in opposite.supports)
    state = "" if opposite.steady else "; the target does not lie between them: hold the board by its edges"
    yield Line(f"Free for support pins: {places or 'nowhere'}{f' mm{state}' if places else state}.", mark="-")
    tallest = "lead ends" if opposite.tallest is None else opposite.tallest.ref
    room = opposite.heater_room_mm
    has = "; the bench does not say what room it has" if room is None else f"; the bench has {figure(room, 1)} mm"
    stands = f"{figure(opposite.tallest_mm, 1)} mm ({tallest}){has}" if opposite.tallest_mm > 0 else "nothing"
    yield Line(f"Stands out towards the board heater: {stands}.", mark="-")


def after_lift_lines(after: AfterLift) -> Iterator[Block]:
    """Yield what to look at after the lift, and what goes before the next part."""
    yield Line(f"Look first at lands {', '.join(after.first)}.", mark="-")
    yield from (Line(f"{point.what}: {point.against} ({point.source}).", mark="-") for point in after.inspect)
    yield from (Line(f"{point}.", mark="-") for point in after.put_on)


def _findings(findings: Sequence[Finding], *, everything: bool) -> Iterator[Block]:
    yield Title("Findings")
    if not findings:
        yield Line("none")
    urgent = sum(finding.priority == "high" for finding in findings)
    shown = len(findings) if everything else max(FEW, urgent)
    for number, finding in enumerate(findings[:shown], 1):
        yield Line(_finding(finding), mark=f"{number:>2}.")
    yield from _rest(len(findings) - shown)


def _finding(finding: Finding) -> str:
    state = "" if finding.waived is None else f" [waived: {finding.waived}]"
    evidence = ", ".join(f"{name} {value:.3g}" for name, value in finding.evidence.items())
    return (
        f"{finding.priority.upper()} {finding.rule} ({', '.join(finding.refs)}): {finding.severity}, "
        f"{finding.likelihood}; {evidence}. Why: {finding.why}. Remedy: {finding.remedy}. "
        f"Source: {short(finding.source, 60)}{state}"
    )


def worth(review: Review) -> Iterator[Block]:
    """Yield how far the figures can be trusted, and why."""
    heat, last = review.case.heat, coldest(review.case)
    energy, taken_j = heat.energy, heat.energy.taken_from_air_j
    melt_s = None if last.window is None else last.window.spread_s
    yield Title("What the figures are worth")
    yield Line(
        f"Bodies' temperatures are good to {figure(heat.spread_c)} C (one standard deviation), the melt of the last "
        f"joint to {figure(melt_s)} s, most of it from {_doubts(heat)}; {calibrated_with(review.case)}.",
        mark="-",
    )
    yield from (Line(note, mark="-") for note in heat.validity)
    yield Line(
        f"Heat: {figure(energy.supplied_j)} J supplied, {figure(energy.stored_j)} J stored, "
        f"{figure(energy.lost_j)} J lost, imbalance {figure(energy.imbalance * 100, 2)} %; "
        f"{figure(abs(taken_j))} J {'taken from' if taken_j >= 0 else 'given to'} the air, which carried "
        f"{figure(energy.carried_by_air_j)} J.",
        mark="-",
    )
    yield Line("follows a limit of low confidence; every source stands whole in the JSON form", mark="?")


def _doubts(heat: Heat) -> str:
    """Return in words the inputs that the spread of the melt comes from, the greatest first."""
    ranked = sorted(heat.seconds_spread_by.items(), key=lambda entry: -entry[1])
    return ", ".join(DOUBTS[name] for name, _ in ranked[:2]) or "nothing"


def _not_assessed(review: Review, *, everything: bool) -> Iterator[Block]:
    entries = [entry for entry in review.not_assessed if entry.id != review.case.target.id]
    if not entries:
        return
    yield Title(f"Not assessed ({len(entries)})")
    shown = len(entries) if everything else FEW
    yield from (Line(f"{entry.ref}: {entry.reason}", mark="-") for entry in entries[:shown])
    yield from _rest(len(entries) - shown)


def _rest(count: int) -> Iterable[Block]:
    return (Line(f"and {count} more; --all prints them"),) if count > 0 else ()
