"""What is known, how it is known, and what could not be judged."""

from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

Confidence = Literal["high", "medium", "low"]
Value_co = TypeVar("Value_co", covariant=True)


@dataclass(frozen=True, slots=True)
class Known(Generic[Value_co]):
    """A value with where it came from and how sure it is."""

    value: Value_co
    source: str
    confidence: Confidence


@dataclass(frozen=True, slots=True)
class NotAssessed:
    """A part about which nothing is said, and why. The id is the part's."""

    id: str
    ref: str
    reason: str
