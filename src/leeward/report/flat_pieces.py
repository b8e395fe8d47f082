"""The pieces of a shield plan laid flat, in rows: where to cut and fold, what each is, over what it lies. All mm."""

from collections.abc import Iterator, Mapping, Sequence
from string import ascii_lowercase
from textwrap import wrap

from leeward.parts.order import natural_key
from leeward.report.drawing import Item, Line, Words, moved
from leeward.report.lettering import width_mm
from leeward.review.records import Case
from leeward.shields.records import Pattern, Piece, Points, Shape

GAP_MM = 6.0
WORD_MM = 2.0
LETTERS = 40  # to a line below a piece
FOLDS: Mapping[Shape, str] = {
    "lid": "walls down, feet out",
    "tent": "legs down, feet out",
    "fence": "foot out, bends at the corners",
}


def flat_pieces(
    case: Case, pieces: Sequence[Piece], top: float, width: float, *, below: bool
) -> tuple[list[Item], float]:
    """Return the flat pieces in rows, each with its words below, and where the next thing may stand.

    Pieces without a pattern are left out. `below`: they are drawn as seen from below.
    """
    items: list[Item] = []
    x, y, tall = 0.0, top, 0.0
    for piece in pieces:
        if piece.pattern is None:
            continue
        pattern = _as_laid(piece, piece.pattern, below=below)
        long, high = _size(pattern)
        label = _label(case, piece)
        needs = max(long, *(width_mm(text, WORD_MM) for text in label))
        if x > 0 and x + needs > width:
            x, y, tall = 0.0, y + tall + GAP_MM, 0.0
        items += moved(_flat(piece.material.id, pattern), (x, y))
        items += [
            Words(text, (x, y + high + (i + 1) * 1.6 * WORD_MM), WORD_MM, "word-bold" if i == 0 else "word", "start")
            for i, text in enumerate(label)
        ]
        x, tall = x + needs + GAP_MM, max(tall, high + len(label) * 1.6 * WORD_MM)
    return items, y + tall + GAP_MM


def _as_laid(piece: Piece, pattern: Pattern, *, below: bool) -> Pattern:
    """Return a pattern the way round that the piece lies in the plan, to the nearest quarter turn, from (0, 0).

    A fence goes round corners and stays as it is cut; what is seen from below is turned over.
    """
    quarter = 0 if piece.shape == "fence" else round(piece.direction_deg / 90) % 4
    cos_, sin_ = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
    hand = -1 if below else 1

    def turn(points: Points) -> Points:
        return tuple((hand * (x * cos_ + y * sin_), y * cos_ - x * sin_) for x, y in points)  # y runs down

    left, top = (min(axis) for axis in zip(*(p for ring in pattern.outlines for p in turn(ring)), strict=True))

    def put(lines_: tuple[Points, ...]) -> tuple[Points, ...]:
        return tuple(tuple((x - left, y - top) for x, y in turn(line)) for line in lines_)

    return Pattern(put(pattern.outlines), put(pattern.windows), put(pattern.slits), put(pattern.folds))


def _flat(key: str, pattern: Pattern) -> list[Item]:
    """Return the strokes of a pattern, cut and fold lines keyed by the material; bands of a cut fence are lettered."""
    cuts = [Line((*ring, ring[0]), "cut", key=key) for ring in (*pattern.outlines, *pattern.windows)]
    slits = [Line(line, "cut", key=key) for line in pattern.slits]
    folds = [Line(line, "fold", key=key) for line in pattern.folds]
    corners = [(max(x for x, _ in ring), max(y for _, y in ring)) for ring in pattern.outlines]
    letters = [
        Words(letter, (x - 2.0, y - 2.0), WORD_MM, "word-bold")
        for letter, (x, y) in zip(ascii_lowercase, corners, strict=False)
        if len(corners) > 1
    ]
    return [*cuts, *slits, *folds, *letters]


def _label(case: Case, piece: Piece) -> tuple[str, ...]:
    layers = "" if piece.layers == 1 else f", {piece.layers} layers"
    roll = f" from the {piece.roll_width_mm:g} mm roll" if piece.material.form == "tape" else ""
    refs = sorted((case.parts.by_id[part_id].ref for part_id in piece.covers), key=natural_key)
    before = "before" if piece.shape == "fence" else "over"
    return (
        f"{piece.number}  {piece.shape}, {piece.material.id}{layers}",
        f"{piece.length_mm:.1f} x {piece.width_mm:.1f} mm{roll}",
        *wrap(f"{before} {', '.join(refs)}", LETTERS),
        *_doing(piece),
    )


def _doing(piece: Piece) -> Iterator[str]:
    """Yield how a piece is folded, draped and stood."""
    if piece.shape in FOLDS:
        yield f"fold: {FOLDS[piece.shape]}; stands {piece.height_mm:.1f} mm tall"
    if piece.shape == "blanket":
        yield "drape it down to the board"
    if not piece.dams.is_empty:
        yield "fold the dashed edge up, at the nozzle"
    if piece.over:
        yield f"lay it over {', '.join(str(other) for other in piece.over)}"


def _size(pattern: Pattern) -> tuple[float, float]:
    x, y = zip(*(point for ring in pattern.outlines for point in ring), strict=True)
    return max(x) - min(x), max(y) - min(y)
