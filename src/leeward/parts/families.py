"""The families that parts are sorted into, and how a footprint is recognised as one of them.

The tables are in `data/families.toml`. The footprint's library and name are asked first, in the order of the
table, then its description, its keywords, the letters of the reference, then only how the part is mounted.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from leeward.constants import table
from leeward.known import Confidence, Known
from leeward.parts.lands import Lands
from leeward.parts.names import has_chip_code
from leeward.parts.records import LeadStyle

Mount = Literal["smd", "through-hole"]
CHIPS = frozenset({"chip resistor", "chip capacitor", "chip inductor"})
SMALL_OUTLINE_MM = 3.2  # the longest small outline transistor, TO-236, is 3.0 mm
SMALL_OUTLINE_LEADS = 8
WEB = re.compile(r"\bhttps?:\S*")
LETTERS = re.compile(r"^[^\W\d_]+\*?|^\W")


@dataclass(frozen=True, slots=True)
class Steps:
    """A length that grows with the longer side of the body; one step where it does not."""

    steps: tuple[tuple[float, float], ...]  # (largest longer side of the body in mm, value in mm)
    source: str
    confidence: Confidence

    def at(self, longer_side_mm: float) -> Known[float]:
        """Return the value for a body; the last step where the body is larger than all."""
        values = (value for limit, value in self.steps if longer_side_mm <= limit)
        return Known(next(values, self.steps[-1][1]), self.source, self.confidence)


@dataclass(frozen=True, slots=True)
class Material:
    """What a part is made of, taken over the box of its body."""

    density_mg_mm3: Known[float]
    specific_heat_j_gk: Known[float]


@dataclass(frozen=True, slots=True, eq=False)
class Family:
    """What parts of one family share; there is one record of each, so it is told by identity."""

    id: str
    lead_style: LeadStyle
    by_pads: bool  # the name leaves the lead style open
    limit: str  # entry of the table of body limits, or "classification"
    limit_through_hole: str  # the same for the leaded variants
    fragile_class: str | None  # where it differs from the limit's
    ramp: str | None  # entry of the table of ramps
    material: Material
    height_mm: Steps
    standoff_mm: float
    courtyard_excess_mm: float
    size_codes: bool  # names give side and height as wound inductors' do
    model_as_wide: bool  # a 3D model as tall as wide stands in for cans of any height
    lead_reach_mm: float  # how far leads bent under the body stand out of it
    hazards: tuple[str, ...]
    stands: bool  # false where there are lands only


@dataclass(frozen=True, slots=True)
class Words:
    """What a footprint says in words beside its name and reference."""

    description: str = ""
    keywords: str = ""
    value: str = ""


NO_WORDS = Words()


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the table by which footprints are recognised."""

    family: str
    library: re.Pattern[str] | None
    name: re.Pattern[str] | None
    mount: Mount | None
    vague: bool  # a description may say it better


@dataclass(frozen=True, slots=True)
class Sort:
    """One row of the table of sorts that no outline tells apart: words that make a family a finer one."""

    of: str
    family: str
    words: re.Pattern[str]


@dataclass(frozen=True, slots=True)
class ReferenceRule:
    """One row of the table of reference letters."""

    family: str
    prefix: re.Pattern[str]
    mount: Mount | None
    least_pads: int
    most_pads: int
    up_to_mm: float
    chip_code: bool  # the footprint's name holds the code of a chip


@cache
def families() -> Mapping[str, Family]:
    """Return every family by id."""
    rows = table("families")["family"]
    return {name: _family(name, _with_inherited(rows, name)) for name in rows}


def recognise(library_id: str, ref: str, lands: Lands, words: Words = NO_WORDS) -> Known[Family]:
    """Return the family of a footprint, with what gave it away.

    `library_id` is "library:name", or a name alone.
    """
    return _by_sort(_recognise(library_id, ref, lands, words), library_id, words)


def _recognise(library_id: str, ref: str, lands: Lands, words: Words) -> Known[Family]:
    name = library_id.rpartition(":")[2]
    by_words = _recognised_by_words(library_id, words.description, words.keywords, lands.mount)
    if by_words is not None:
        return by_words if by_words.value.id not in CHIPS else _chip(by_words, ref, name, lands)
    for reference in _reference_rules():
        if _fits_reference(reference, ref, name, lands):
            family, source = families()[reference.family], f"letters of the reference {ref}"
            if reference.chip_code:
                return Known(family, f"{source} and the chip code in the name {name}", "medium")
            return Known(family, source, "low")
    return Known(families()[_unknown(lands)], "neither the footprint's name nor its reference says", "low")


def _chip(by_words: Known[Family], ref: str, name: str, lands: Lands) -> Known[Family]:
    """Return the family of a chip; one drawn for another kind is what its reference says: lands of a size are alike."""
    fitting = (rule for rule in _reference_rules() if rule.chip_code and _fits_reference(rule, ref, name, lands))
    rule = next(fitting, None)
    if rule is None or rule.family not in CHIPS or rule.family == by_words.value.id:
        return by_words
    source = f"letters of the reference {ref}, though the footprint's name {name} is a {by_words.value.id}'s"
    return Known(families()[rule.family], source, "medium")


def _by_sort(found: Known[Family], library_id: str, words: Words) -> Known[Family]:
    """Return the finer family that name, value, description or keywords tell of, else the one that was found."""
    for sort in _sorts():
        if sort.of != found.value.id:
            continue
        for text in (library_id, words.value, words.description, words.keywords):
            if told := sort.words.search(WEB.sub("", text)):
                return Known(families()[sort.family], f"{found.source}, and {told.group()!r} in its words", "medium")
    return found


@cache
def _recognised_by_words(library_id: str, description: str, keywords: str, mount: Mount) -> Known[Family] | None:
    """Return the family by name, else by description, else by keywords; a board repeats the same words often."""
    library, _, name = library_id.rpartition(":")
    rule = next((rule for rule in _rules() if _fits(rule, library, name, mount)), None)
    by_name = None if rule is None else _by_name(rule, library, name)
    if rule is not None and not rule.vague:
        return by_name
    by_text = _recognised_by_text("description", description, mount) or _recognised_by_text("keywords", keywords, mount)
    return by_text or by_name


def _recognised_by_text(where: str, text: str, mount: Mount) -> Known[Family] | None:
    """Return the family by the first rule whose words stand in a text, addresses left out."""
    words = WEB.sub("", text)
    for rule in _description_rules():
        found = rule.name.search(words) if rule.name is not None and rule.mount in (None, mount) else None
        if found is not None:
            return Known(families()[rule.family], f"{found.group().strip()!r} in the {where}", "medium")
    return None


def drawn_for_another_chip(library_id: str, family: Family, lands: Lands) -> bool:
    """Say whether a chip sits on a footprint drawn for a chip of another kind."""
    named = _recognised_by_words(library_id, "", "", lands.mount)
    return named is not None and {named.value.id, family.id} <= CHIPS and named.value.id != family.id


def by_lead_style(style: LeadStyle, body_mm: tuple[float, float], lands: Lands) -> Family | None:
    """Return the family of a part known only by how its leads are formed; None where that says nothing."""
    small = max(body_mm) <= SMALL_OUTLINE_MM and lands.count <= SMALL_OUTLINE_LEADS
    quad = lands.rows == 4
    names: dict[LeadStyle, str] = {
        "gull-wing": "quad gull-wing" if quad else "small outline transistor" if small else "two-row gull-wing",
        "j-lead": "quad J-lead" if quad else "two-row J-lead",
        "bottom-terminated": "leadless package",
        "ball-grid": "ball grid array",
    }
    return families()[names[style]] if style in names else None


def _unknown(lands: Lands) -> str:
    if lands.box is None:
        return "mounting hole"
    if lands.mount == "through-hole":
        return "leaded part"
    return "unknown surface-mount part" if lands.pasted else "wire pad"


def _by_name(rule: Rule, library: str, name: str) -> Known[Family]:
    family = families()[rule.family]
    if rule.library is None:
        return Known(family, f"footprint name {name}", "medium" if family.by_pads else "high")
    return Known(family, f"footprint library {library}, name {name}", "high")


def _fits(rule: Rule, library: str, name: str, mount: Mount) -> bool:
    return (
        (rule.mount is None or rule.mount == mount)
        and (rule.library is None or rule.library.search(library) is not None)
        and (rule.name is None or rule.name.search(name) is not None)
    )


def _fits_reference(rule: ReferenceRule, ref: str, name: str, lands: Lands) -> bool:
    letters = LETTERS.match(ref)
    return (
        letters is not None
        and rule.prefix.fullmatch(letters.group()) is not None
        and (rule.mount is None or rule.mount == lands.mount)
        and rule.least_pads <= lands.count <= rule.most_pads
        and lands.longer_side_mm <= rule.up_to_mm
        and (not rule.chip_code or has_chip_code(name))
    )


def _rules() -> tuple[Rule, ...]:
    return _rules_of("rule")


def _description_rules() -> tuple[Rule, ...]:
    return _rules_of("description")


@cache
def _rules_of(section: str) -> tuple[Rule, ...]:
    rows = table("families")["recognise"][section]
    return tuple(
        Rule(
            family=row["family"],
            library=_pattern(row.get("library")),
            name=_pattern(row.get("name")),
            mount=row.get("mount"),
            vague=row.get("vague", False),
        )
        for row in rows
    )


@cache
def _sorts() -> tuple[Sort, ...]:
    rows = table("families")["recognise"]["sort"]
    return tuple(Sort(row["of"], row["family"], re.compile(row["words"], re.IGNORECASE)) for row in rows)


@cache
def _reference_rules() -> tuple[ReferenceRule, ...]:
    rows = table("families")["recognise"]["reference"]
    return tuple(
        ReferenceRule(
            family=row["family"],
            prefix=re.compile(row["prefix"], re.IGNORECASE),
            mount=row.get("mount"),
            least_pads=row.get("least_pads", 0),
            most_pads=row.get("most_pads", 1_000_000),
            up_to_mm=row.get("up_to_mm", float("inf")),
            chip_code=row.get("chip_code", False),
        )
        for row in rows
    )


def _pattern(expression: str | None) -> re.Pattern[str] | None:
    return None if expression is None else re.compile(expression, re.IGNORECASE)


def _with_inherited(rows: Mapping[str, Any], name: str) -> dict[str, Any]:
    row = rows[name]
    inherited = _with_inherited(rows, row["like"]) if "like" in row else {}
    return {**inherited, **row}


def _family(name: str, row: Mapping[str, Any]) -> Family:
    material = table("families")["material"][row["material"]]
    return Family(
        id=name,
        lead_style=row["lead_style"],
        by_pads=row.get("by_pads", False),
        limit=row["limit"],
        limit_through_hole=row.get("limit_through_hole", row["limit"]),
        fragile_class=row.get("fragile_class"),
        ramp=row.get("ramp"),
        material=Material(_known(material["density_mg_mm3"]), _known(material["specific_heat_j_gk"])),
        height_mm=_steps(row["height_mm"]),
        standoff_mm=row.get("standoff_mm", 0.0),
        courtyard_excess_mm=row.get("courtyard_excess_mm", table("families")["courtyard_excess_mm"]["value"]),
        size_codes=row.get("size_codes", False),
        model_as_wide=row.get("model_as_wide", False),
        lead_reach_mm=row.get("lead_reach_mm", 0.0),
        hazards=tuple(row.get("hazards", ())),
        stands=row.get("stands", True),
    )


def _known(entry: Mapping[str, Any]) -> Known[float]:
    return Known(float(entry["value"]), entry["source"], entry["confidence"])


def _steps(entry: Mapping[str, Any]) -> Steps:
    steps = entry["steps"] if "steps" in entry else [[float("inf"), entry["value"]]]
    return Steps(tuple((float(limit), float(value)) for limit, value in steps), entry["source"], entry["confidence"])
