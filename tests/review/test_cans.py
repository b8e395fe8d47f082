"""Shield cans in the review."""

from dataclasses import replace

from builders import case, neighbour, part
from cases import crowded
from leeward.parts.records import Part
from leeward.review.cans import hidden, lift_can
from leeward.review.cautions import cautions
from leeward.review.judge import judge

CAN = part("SH1", 22.0, lead_style="hardware", family="shield can")


def below(ref: str, x_mm: float = 20.0) -> Part:
    """Return a part under the can."""
    return replace(part(ref, x_mm), under=CAN.id)


def test_a_target_under_a_can_is_told_so() -> None:
    """The can comes off first, with what else stands under it, as a step of the work order and a caution."""
    solved = case(below("U1"), (CAN, below("C10", 23.0), below("C2", 24.0), part("R1", 30.0)))
    ((do, why),) = lift_can(solved)
    assert do == "U1 stands under the can of SH1: the can comes off first. Under it too: C2, C10."
    assert "no air" in why
    (caution,) = hidden(solved, ())
    assert caution.startswith("Under the can of SH1: C2, C10, U1.")


def test_the_can_comes_off_before_the_nozzle_goes_on() -> None:
    """In the work order of a solved case the can comes off before any step with the nozzle, and a caution names it."""
    solved = crowded()
    others = {**solved.parts.by_id, solved.target.id: replace(solved.target, under="id-J1")}
    review = judge(replace(solved, target=others[solved.target.id], parts=replace(solved.parts, by_id=others)))
    steps = [entry.do for entry in review.work_order]
    first = next(index for index, text in enumerate(steps) if text.startswith("U1 stands under the can of J1"))
    assert first < next(index for index, text in enumerate(steps) if text.startswith("Nozzle"))
    assert any(text.startswith("Under the can of J1: U1.") for text in review.cautions)


def test_a_can_in_the_heat_is_named_with_what_it_hides() -> None:
    """A can among the neighbours, or a part under it, makes one caution; the target in the open makes no step."""
    solved = case(part("U1"), (CAN, below("C2", 24.0)))
    assert lift_can(solved) == []
    for near in ((neighbour(CAN),), (neighbour(below("C2", 24.0)),), (neighbour(CAN), neighbour(below("C2", 24.0)))):
        found = [text for text in cautions(solved, near) if "can of" in text]
        assert len(found) == 1
        assert found[0].startswith("Under the can of SH1: C2.")


def test_a_can_as_target_hides_what_is_under_it() -> None:
    """Where the can itself comes off, what stands under it is named."""
    solved = case(CAN, (below("C2", 24.0),))
    assert [text[:26] for text in hidden(solved, ())] == ["Under the can of SH1: C2. "]


def test_an_empty_can_says_nothing() -> None:
    """A can with nothing under it makes no caution."""
    assert list(hidden(case(part("U1"), (CAN,)), (neighbour(CAN),))) == []
