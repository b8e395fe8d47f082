"""What may not be covered, and with what: vents, ports, contacts that stand open, cells."""

from typing import Literal

from leeward.bench.records import Form
from leeward.parts.records import Part

Trait = Literal["vent", "port", "contacts", "moving parts", "cell"]
CONTACT_STYLES = ("connector", "socket")
CONTACT_FAMILIES = ("printed contact", "edge connector lands", "programming lands", "test point")
MOVING_FAMILIES = (
    "switch", "J-lead switch", "rotary encoder", "potentiometer", "trimmer capacitor", "relay", "J-lead relay", "motor",
    "sound transducer",
)  # fmt: skip
BY_HAZARD: dict[str, Trait] = {
    "electrolytic": "vent", "vent": "vent", "port": "port", "display": "port", "lithium-cell": "cell",
}  # fmt: skip
# Adhesive and fibre foul what is open, foil shorts what is charged, gel creeps into everything.
NOT_OVER: dict[Form, tuple[Trait, ...]] = {
    "tape": ("vent", "port", "contacts"),
    "foil": ("vent", "port", "cell"),
    "fibre": ("vent", "port", "contacts"),
    "gel": ("vent", "port", "contacts", "moving parts", "cell"),
}
NOT_TENTED: tuple[Trait, ...] = ("vent", "port")  # tape stuck back to back touches nothing with its adhesive
WORDS: dict[Trait, str] = {
    "vent": "its vent must stay free",
    "port": "its port must stay free",
    "contacts": "its contacts stand open",
    "moving parts": "its moving parts are open to gel",
    "cell": "it is a cell",
}


def traits(part: Part) -> frozenset[Trait]:
    """Return what about a part asks for care."""
    found = {BY_HAZARD[hazard] for hazard in part.hazards if hazard in BY_HAZARD}
    if part.lead_style.value in CONTACT_STYLES or part.family.value in CONTACT_FAMILIES:
        found.add("contacts")
    if part.family.value in MOVING_FAMILIES:
        found.add("moving parts")
    return frozenset(found)


def refusal(part: Part, refused: tuple[Trait, ...]) -> str | None:
    """Return why something that may not lie over the traits given may not lie over a part, None if it may."""
    own = traits(part)
    return next((WORDS[trait] for trait in refused if trait in own), None)
