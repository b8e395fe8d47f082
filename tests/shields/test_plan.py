"""Whole plans, on solved cases and as they are put together."""

from dataclasses import replace
from functools import cache

import pytest
import shapely

from cases import case_of, cell, crowded, plastic
from leeward.bench.at_hand import AtHand, with_at_hand
from leeward.bench.read import read_bench
from leeward.bench.records import Bench, Form
from leeward.heat.model import own_board
from leeward.review.records import Case
from leeward.shields.effect import credited_c, drying_out, gain_c, idle
from leeward.shields.plan import Job, plan_cautions, propose, shelters, without
from leeward.shields.records import ShieldPlan
from thermal_boards import chip, quad


def job_of(case: Case, bench: Bench | None = None) -> Job:
    """Return the job of a case, as it is planned."""
    outline = own_board(case.board, case.target)
    return Job(case.parts, case.target, case.loads.fit, case.bare, bench or case.bench, case.recipe.alloy, outline)


def planned(case: Case, *forms: Form) -> ShieldPlan:
    """Return the plan of a case with materials of some forms alone."""
    return propose(job_of(case, with_at_hand(read_bench(), AtHand(frozenset(forms)))))


@cache
def lopsided() -> Case:
    """Return a quad with a plastic body 4 mm beyond the nozzle on one side, chips on another, a cell far off."""
    chips = [chip(f"C{i}", -12.5, 4 * i - 4) for i in range(3)]
    return case_of(quad("U1", 0, 0, 14.0), plastic("K1", 17.0, 0), *chips, cell("BT1", 34, 34))


@cache
def ringed() -> Case:
    """Return a quad with a plastic body on each side, 4 mm beyond the nozzle."""
    places = enumerate([(17.0, 0.0), (0.0, -17.0), (-17.0, 0.0), (0.0, 17.0)])
    return case_of(quad("U1", 0, 0, 14.0), *(plastic(f"K{i}", x, y) for i, (x, y) in places))


def test_one_fence_serves_whom_four_covers_would() -> None:
    """With plastic bodies on all sides the fewest pieces are one fence round the target."""
    plan = planned(ringed(), "tape", "foil", "fibre")
    (fence,) = plan.pieces
    assert fence.shape == "fence"
    assert set(fence.covers) == {f"id-K{i}" for i in range(4)}
    assert all(plan.decisions[part_id].kinds[-1] == "fence" for part_id in fence.covers)


def test_the_job_is_settled_again_with_the_fence_on() -> None:
    """The case keeps both heats: its neighbours are cooler, and the target still melts, slower or with more heat."""
    case = ringed()
    (fence,) = case.shields.pieces
    assert gain_c(fence, case.bare, case.heat) > 10.0
    assert case.heat.reaches_reflow
    assert case.loads.covers == shelters(case.shields)


def test_everyone_in_the_heat_has_a_decision() -> None:
    """Every neighbour has one, with a reason, and whoever is to be shielded is covered or says why not."""
    for case in (lopsided(), crowded()):
        plan = case.shields
        covered = {part_id for piece in plan.pieces for part_id in piece.covers}
        assert set(plan.decisions) == set(plan.needs)
        for part_id, decision in plan.decisions.items():
            assert decision.kinds
            assert decision.why
            if {"air-mask", "barrier", "fence", "wet-sink"} & set(decision.kinds):
                assert part_id in covered or "cannot" in decision.kinds
            if "cannot" in decision.kinds:
                assert ";" in decision.why


def test_each_piece_says_what_it_covers_and_each_part_what_covers_it() -> None:
    """The kinds of a decision are those of the pieces that cover the part, and of what it is left to."""
    plan = planned(lopsided(), "tape", "foil", "fibre", "gel")
    for piece in plan.pieces:
        assert piece.covers
        for part_id in piece.covers:
            assert piece.kind in plan.decisions[part_id].kinds


def test_pieces_are_numbered_in_laying_order() -> None:
    """Tape first, then what lies or stands over it, the fence last; numbers run from one, the worked side first."""
    plan = planned(crowded(), "tape", "foil", "fibre")
    rank = {"sheet": 0, "strip": 1, "coat": 2, "blanket": 3, "tent": 4, "lid": 5, "fence": 6}
    assert [piece.number for piece in plan.pieces] == list(range(1, len(plan.pieces) + 1))
    for side in ("top", "bottom"):
        ranks = [rank[piece.shape] for piece in plan.pieces if piece.side == side]
        assert ranks == sorted(ranks)
    assert [piece.side for piece in plan.pieces] == sorted((piece.side for piece in plan.pieces), reverse=True)


@pytest.mark.parametrize("form", ["tape", "foil", "fibre", "gel"])
def test_only_what_is_at_hand_is_used(form: Form) -> None:
    """With one form at hand every piece is of it."""
    plan = planned(lopsided(), form)
    assert {piece.material.form for piece in plan.pieces} <= {form}


def test_with_nothing_at_hand_all_that_need_something_cannot() -> None:
    """Without materials there is no piece, and who needs one says so."""
    plan = planned(lopsided())
    assert plan.pieces == ()
    assert shelters(plan) == ()
    assert "cannot" in plan.decisions["id-C0"].kinds
    assert "none is at hand" in plan.decisions["id-C0"].why


def test_the_cell_comes_off_and_is_not_covered() -> None:
    """A lithium cell is only ever taken off."""
    plan = planned(lopsided(), "tape", "foil", "fibre", "gel")
    assert plan.decisions["id-BT1"].kinds == ("take-off-first",)
    assert all("id-BT1" not in piece.covers for piece in plan.pieces)


def test_a_fence_may_be_ruled_out_with_a_reason() -> None:
    """Without a fence those that it alone would shelter say why there is none."""
    foil = with_at_hand(read_bench(), AtHand(frozenset({"foil"})))
    fenced = propose(job_of(crowded(), foil))
    bare = propose(job_of(crowded(), foil), no_fence="a fence would keep U1 from melting")
    assert "fence" not in {piece.kind for piece in bare.pieces}
    left = [i for i, one in fenced.decisions.items() if "fence" in one.kinds and bare.needs[i].must]
    assert all(
        "a fence would keep U1 from melting" in bare.decisions[i].why or "barrier" in bare.decisions[i].kinds
        for i in left
    )


def test_pieces_left_out_leave_their_reason() -> None:
    """Without its barrier a part cannot be shielded, and says what was tried; the rest is numbered anew."""
    plan = planned(lopsided(), "tape", "fibre")
    barrier = next(piece for piece in plan.pieces if piece.kind == "barrier")
    less = without(plan, {barrier.number: "barrier tried and left out: it brought 1 C"})
    assert [piece.number for piece in less.pieces] == list(range(1, len(plan.pieces)))
    for part_id in barrier.covers:
        assert "barrier" not in less.decisions[part_id].kinds
        assert "cannot" in less.decisions[part_id].kinds
        assert "tried and left out" in less.decisions[part_id].why


def test_the_plan_on_cools_what_it_covers() -> None:
    """Solved with its plan on, the case has every piece against heat bring its part two degrees or more."""
    for case in (lopsided(), ringed()):
        for piece in case.shields.pieces:
            if piece.kind != "air-mask":
                assert gain_c(piece, case.bare, case.heat) > 1.0
        assert case.heat.reaches_reflow


def test_what_brings_nothing_is_named() -> None:
    """Against the same heat no piece brings anything: all but tape are named idle."""
    case = lopsided()
    plan = planned(case, "tape", "fibre")
    idle_ones = idle(plan, case.bare, case.bare)
    assert set(idle_ones) == {piece.number for piece in plan.pieces if piece.kind != "air-mask"}
    assert all("it brought 0 C" in why for why in idle_ones.values())


def test_a_verdict_believes_a_shield_no_more_than_its_credit() -> None:
    """Of 233 C bare and 102 C computed 213 C count with 20 C of credit; a gain of 5 C as it is, a loss in full."""
    assert credited_c(233.0, 102.0, 20.0) == 213.0
    assert credited_c(233.0, 228.0, 20.0) == 228.0
    assert credited_c(233.0, 240.0, 20.0) == 240.0
    assert credited_c(233.0, 102.0, float("inf")) == 102.0
    assert credited_c(None, 102.0, 20.0) == 102.0


def test_neighbours_are_judged_by_what_is_credited() -> None:
    """No credited peak of a solved case is more than 20 C under its bare one."""
    entries = [entry for case in (lopsided(), ringed()) for entry in _judged(case)]
    gains = [entry[0] - entry[1] for entry in entries if entry[1] is not None]
    assert max(gains) <= 20.0 + 1e-9
    assert max(gains) == pytest.approx(20.0)


def _judged(case: Case) -> list[tuple[float, float | None]]:
    from leeward.review.neighbours import neighbours  # noqa: PLC0415  # the one use here

    return [(entry.body_peak_c or 0.0, entry.shielded.credited_body_c) for entry in neighbours(case)]


def test_each_material_brings_its_cautions() -> None:
    """Tape: slowly, solid, under 60 C, residue; foil: shorts; gel: wicking; nothing laid, nothing said."""
    said = " ".join(plan_cautions(planned(lopsided(), "tape", "foil", "fibre")))
    for words in ("peel it slowly", "solder solid", "under 60 C", "residue"):
        assert words in said
    assert plan_cautions(planned(lopsided())) == ()


def test_gel_that_dries_out_is_told() -> None:
    """A coat on a body held at 130 C loses 600 W/m2K over 30 C: 213 s of its water; a reflow of that length says so."""
    case = lopsided()
    plan = planned(case, "tape", "fibre")
    gel = with_at_hand(read_bench(), AtHand(frozenset({"gel"}))).shields[0]
    piece = replace(plan.pieces[0], kind="wet-sink", material=gel, covers=("id-K1",))
    wet = replace(plan, pieces=(piece,))
    body = case.heat.bodies["id-K1"]
    hot = replace(
        case.heat, bodies={"id-K1": replace(body, peak_c=130.0)}, stage_ends_s={"soak": 180.0, "reflow": 480.0}
    )
    brief = replace(hot, stage_ends_s={"soak": 180.0, "reflow": 300.0})
    (note,) = drying_out(wet, hot)
    assert "dries out in about 213 s of reflow's 300 s" in note
    assert drying_out(wet, brief) == ()


def test_shelters_are_what_the_pieces_are() -> None:
    """A fence shelters its lee, a cover what it lies on, with the resistance that it has."""
    plan = planned(ringed(), "tape", "foil", "fibre")
    for piece, shelter in zip(plan.pieces, shelters(plan), strict=True):
        area = getattr(shelter, "lee", None) or getattr(shelter, "area", None)
        assert isinstance(area, shapely.Geometry)
        assert area.equals(piece.lee)
        assert shelter.side == piece.side
