"""The recipe and what comes of it: temperatures over time, as a drawing. Lengths are mm on paper, y down."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import shapely

from leeward.bench.records import StageName
from leeward.heat.records import Series
from leeward.report.drawing import Area, Drawing, Item, Line, Point, Words
from leeward.report.lettering import Room, box_of, boxes_along, spread, width_mm
from leeward.report.review_documents import stages_as_run
from leeward.report.wording import figure, within
from leeward.review.histories import histories
from leeward.review.records import Case, Review
from leeward.review.thermocouples import coldest

WIDTH_MM, LEFT_MM, RIGHT_MM = 180.0, 11.0, 132.0  # the plot's edges; beyond it stand the curves' names
TOP_MM, BOTTOM_MM, HEIGHT_MM = 5.0, 49.0, 54.0
WORD_MM, ABOVE_MM = 1.6, 0.9
PITCH_MM = 3.4  # between the curves' names
EVERY_C, ROOM_C = 50.0, 25.0
EVERY_S = (10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0)
MOST_TICKS = 10
OWN, NEAR = ("joint-1", "joint-2", "joint-3", "behind"), ("near-1", "near-2", "near-3")


@dataclass(frozen=True, slots=True)
class Axes:
    """Where a time and a temperature stand in the plot."""

    seconds: float
    most_c: float

    def x(self, time_s: float) -> float:
        """Return the place of a time."""
        return LEFT_MM + (RIGHT_MM - LEFT_MM) * time_s / self.seconds

    def y(self, celsius: float) -> float:
        """Return the place of a temperature; the axis starts at 0 C."""
        return BOTTOM_MM - (BOTTOM_MM - TOP_MM) * celsius / self.most_c


@dataclass(frozen=True, slots=True)
class Setting:
    """A stroke at what air or board heater is set to, and what may be written to it, the longest first."""

    stroke: Line
    texts: tuple[str, ...]


def chart(review: Review) -> Drawing:
    """Return the stages, the settings, and the histories of joints, target and worst neighbours."""
    case, room = review.case, Room()
    shown = histories(case, review.neighbours)
    axes = _axes(case, shown)
    curves, melt, liquid = list(_curves(case, shown, axes)), _melt(review, axes), _liquidus(case, axes)
    for item in (*curves, *melt, *liquid):
        room.take(*(boxes_along(item, 1.0) if isinstance(item, Line) else [box_of(item)]))
    settings = list(_settings(case, axes))
    for setting in settings:
        room.take(*boxes_along(setting.stroke, 1.0))
    items = (
        *_stages(case, axes),
        *_grid(axes),
        *liquid,
        *(setting.stroke for setting in settings),
        *(words for setting in settings for words in _named_setting(setting, room)),
        *melt,
        *curves,
    )
    about = f"Predicted temperatures over time while {case.target.ref} is taken off"
    return Drawing(about, (0.0, 0.0, WIDTH_MM, HEIGHT_MM), items)


def _axes(case: Case, shown: Sequence[Series]) -> Axes:
    settings = [stage.air_c or 0.0 for stage in case.recipe.stages] + [
        s.board_heater_c or 0.0 for s in case.recipe.stages
    ]
    peak = max(float(series.celsius.max()) for series in shown)
    most = max(peak, *settings) + ROOM_C
    return Axes(float(case.heat.time_s[-1]), EVERY_C * np.ceil(most / EVERY_C))


def _spans(case: Case) -> list[tuple[StageName, float, float]]:
    """Return each stage that ran with its start and end, s."""
    ends = [
        (stage.name, case.heat.stage_ends_s[stage.name])
        for stage in case.recipe.stages
        if stage.name in case.heat.stage_ends_s
    ]
    starts = [0.0, *(end for _, end in ends)]
    return [(name, start, end) for (name, end), start in zip(ends, starts, strict=False) if end > start]


def _stages(case: Case, axes: Axes) -> Iterable[Item]:
    """Yield the stages as bands, every other one shaded, with their names above."""
    for i, (name, start, end) in enumerate(_spans(case)):
        x0, x1 = axes.x(start), axes.x(end)
        if i % 2 == 0:
            yield Area((((x0, TOP_MM), (x1, TOP_MM), (x1, BOTTOM_MM), (x0, BOTTOM_MM)),), "stage")
        full = f"{name}, {figure(end - start)} s"
        for text in (full, name):
            if width_mm(text, WORD_MM) <= x1 - x0:
                yield Words(text, ((x0 + x1) / 2, TOP_MM - 1.6), WORD_MM, "word")
                break


def _grid(axes: Axes) -> Iterable[Item]:
    for celsius in np.arange(0.0, axes.most_c + 1, EVERY_C).tolist():
        y = axes.y(celsius)
        yield Line(((LEFT_MM, y), (RIGHT_MM, y)), "grid")
        yield Words(f"{celsius:g}", (LEFT_MM - 1.2, y + WORD_MM / 2), WORD_MM, "word-faint", "end")
    step = next((step for step in EVERY_S if axes.seconds / step <= MOST_TICKS), EVERY_S[-1])
    for seconds in np.arange(0.0, axes.seconds + 1e-6, step).tolist():
        x = axes.x(seconds)
        yield Line(((x, BOTTOM_MM), (x, BOTTOM_MM + 1.2)), "outline")
        yield Words(f"{seconds:g}", (x, BOTTOM_MM + 4.0), WORD_MM, "word-faint")
    yield Words("s", (RIGHT_MM + 3.0, BOTTOM_MM + 4.0), WORD_MM, "word-faint", "start")
    yield Words("C", (LEFT_MM - 1.2, TOP_MM - 1.6), WORD_MM, "word-faint", "end")
    yield Line(((LEFT_MM, TOP_MM), (LEFT_MM, BOTTOM_MM), (RIGHT_MM, BOTTOM_MM)), "outline")


def _liquidus(case: Case, axes: Axes) -> tuple[Line, Words]:
    y = axes.y(case.recipe.liquidus_c)
    words = f"{case.recipe.alloy} liquid from {figure(case.recipe.liquidus_c)} C"
    return (
        Line(((LEFT_MM, y), (RIGHT_MM, y)), "liquid"),
        Words(words, (RIGHT_MM - 0.6, y - ABOVE_MM), WORD_MM, "word", "end"),
    )


def _settings(case: Case, axes: Axes) -> Iterable[Setting]:
    """Yield what air and board heater are set to, one stroke over stages that follow with the same."""
    stages = {stage.name: stage for stage in stages_as_run(case)}
    spans = [(stages[name], start, end) for name, start, end in _spans(case)]
    for (air_c, flow), run in groupby(spans, lambda span: (span[0].air_c, span[0].flow_l_min)):
        if air_c is not None:
            short = f"air {air_c:g} C"
            texts = (short if flow is None else f"{short}, {flow:g} l/min", short)
            yield _setting(texts, air_c, [(start, end) for _, start, end in run], axes)
    for heater_c, run in groupby(spans, lambda span: span[0].board_heater_c):
        if heater_c is not None:
            short = f"{heater_c:g} C"
            over = [(start, end) for _, start, end in run]
            yield _setting((f"board heater {short}", f"heater {short}", short), heater_c, over, axes)


def _setting(texts: Sequence[str], celsius: float, spans: Sequence[tuple[float, float]], axes: Axes) -> Setting:
    y = axes.y(celsius)
    return Setting(Line(((axes.x(spans[0][0]), y), (axes.x(spans[-1][1]), y)), "setting"), tuple(texts))


def _named_setting(setting: Setting, room: Room) -> Iterable[Words]:
    """Yield the longest of a setting's texts that has room over or under its stroke, at its start or its end."""
    (x0, y), (x1, _) = setting.stroke.points
    for text in setting.texts:
        for down in (-ABOVE_MM, ABOVE_MM + WORD_MM):
            level = (
                Words(text, (x0 + 0.6, y + down), WORD_MM, "setting-word", "start"),
                Words(text, (x1 - 0.6, y + down), WORD_MM, "setting-word", "end"),
            )
            fitting = [
                words for words in level if width_mm(text, WORD_MM) + 1.2 <= x1 - x0 and room.free(box_of(words))
            ]
            if fitting:
                room.take(box_of(fitting[0]))
                yield fitting[0]
                return


def _melt(review: Review, axes: Axes) -> tuple[Line | Words, ...]:
    """Return the moment when the last joint is liquid, with the spread of the model along the time axis."""
    joint, start = coldest(review.case), _reflow_start(review.case)
    if joint.seconds_to_liquidus is None or joint.window is None:
        return ()
    middle, y = start + joint.seconds_to_liquidus, BOTTOM_MM - 2.6
    low, high = start + max(joint.window.earliest_s, 0.0), min(start + joint.window.latest_s, axes.seconds)
    bar: tuple[Point, ...] = ((axes.x(low), y), (axes.x(high), y))
    ends = [Line(((x, y - 0.9), (x, y + 0.9)), "outline") for x, _ in bar]
    late = f"liquid {figure(joint.seconds_to_liquidus)} s into reflow (likely {within(joint.window)} s)"
    text = f"last joint, pad {joint.joint.pad}, {late}"
    return (
        Line(((axes.x(middle), axes.y(review.case.recipe.liquidus_c)), (axes.x(middle), BOTTOM_MM)), "outline"),
        Line(bar, "outline"),
        *ends,
        _beside(text, axes.x(low), axes.x(high), y + WORD_MM / 2),
    )


def _beside(text: str, low: float, high: float, y: float) -> Words:
    """Return words left of a bar where there is room, else right of it."""
    if low - 1.2 - width_mm(text, WORD_MM) > LEFT_MM:
        return Words(text, (low - 1.2, y), WORD_MM, "word", "end")
    return Words(text, (high + 1.2, y), WORD_MM, "word", "start")


def _reflow_start(case: Case) -> float:
    return next((start for name, start, _ in _spans(case) if name == "reflow"), 0.0)


def _curves(case: Case, shown: Sequence[Series], axes: Axes) -> Iterable[Line | Words]:
    """Yield the histories, and their names in the order of their peaks, each with its stroke and its peak."""
    named = _named(case, shown)
    order = sorted(named, key=lambda entry: -float(entry[0].celsius.max()))
    wanted = [axes.y(float(series.celsius.max())) for series, _, _ in order]
    heights = spread(wanted, PITCH_MM, TOP_MM + 2, BOTTOM_MM)
    for (series, name, ink), y in zip(order, heights, strict=True):
        run = np.column_stack([case.heat.time_s, series.celsius])
        points = shapely.LineString([(axes.x(t), axes.y(c)) for t, c in run.tolist()]).simplify(0.03)
        yield Line(tuple(points.coords), ink)
        yield Line(((RIGHT_MM + 3, y - WORD_MM / 2), (RIGHT_MM + 12, y - WORD_MM / 2)), ink)
        yield Words(f"{name}: {figure(float(series.celsius.max()))} C", (RIGHT_MM + 13.2, y), WORD_MM, "word", "start")


def _named(case: Case, shown: Sequence[Series]) -> list[tuple[Series, str, str]]:
    """Return each history with its name and its ink: the target's first, then the neighbours'."""
    own = [series for series in shown if series.id == case.target.id or series.id is None]
    near = [series for series in shown if series.id not in (case.target.id, None)]
    return [
        *((series, series.name, ink) for series, ink in zip(own, OWN, strict=False)),
        *((series, f"{_ref(case, series)} {series.name}", ink) for series, ink in zip(near, NEAR, strict=False)),
    ]


def _ref(case: Case, series: Series) -> str:
    part = case.parts.by_id.get(series.id or "")
    return part.ref if part is not None else ""
