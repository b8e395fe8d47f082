"""A surveyed board as a map: each side with its parts inked by each ranking, in layers of one drawing."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from leeward.board.records import Side
from leeward.parts.records import Part
from leeward.report.board_view import View, bodies, edge, ground, lands, on_side, references, view_of
from leeward.report.drawing import Drawing, Item, area, mirrored
from leeward.report.legend import Entry, with_legend
from leeward.report.lettering import Room
from leeward.review.records import Priority
from leeward.survey.rankings import Ranking, levels
from leeward.survey.records import Survey

TALL_MM = 120.0  # the tallest that a side is drawn on paper
FINEST_MM = 0.4  # of copper, on paper: it is there to find one's way by
LEGEND = (
    Entry("risk-high", "high", hatches=2),
    Entry("risk-medium", "medium", hatches=1),
    Entry("body", "low"),
    Entry("not-fitted", "by hand, or not in this ranking"),
)


def layer_key(ranking: Ranking, card: str) -> str:
    """Return the key of a part's body in the layer of a ranking."""
    return f"{ranking}-{card}"


def sides(survey: Survey) -> tuple[Side, ...]:
    """Return the sides that carry parts."""
    held = {part.footprint.side for part in survey.parts.by_id.values()}
    return tuple(side for side in ("top", "bottom") if side in held)


def board_map(survey: Survey, side: Side, cards: Mapping[str, str]) -> Drawing:
    """Return one side of a board; `cards` names the targets' short reviews by part id.

    Bodies of targets are drawn once for each ranking, grouped by `layer_key`; a page shows one layer at a time.
    """
    view = replace(view_of(survey.board, side, [survey.board.outline], TALL_MM), finest_mm=FINEST_MM)
    parts = on_side(survey.parts.by_id.values(), view)
    others = [part for part in parts if part.id not in cards]
    items: tuple[Item, ...] = (
        *ground(survey.board, view),
        *edge(survey.board, view),
        *lands(parts, view),
        *bodies(others, view, {}),
        *(item for ranking, found in levels(survey).items() for item in _layer(parts, view, ranking, found, cards)),
        *references(parts, view, Room()),
    )
    drawn = Drawing(f"The board seen from the {side}, parts by ranking", view.window, items, 1 / view.paper_mm)
    seen = mirrored(drawn) if side == "bottom" else drawn
    return with_legend(seen, LEGEND, f"seen from the {side}")


def _layer(
    parts: list[Part], view: View, ranking: Ranking, found: Mapping[str, Priority], cards: Mapping[str, str]
) -> Iterator[Item]:
    for part in parts:
        if part.id in cards:
            drawn = bodies([part], view, found) if part.id in found else area(view.cut(part.body), "not-fitted")
            yield from (replace(item, key=layer_key(ranking, cards[part.id])) for item in drawn)
