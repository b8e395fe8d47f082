"""Waivers: findings that someone has accepted, from a TOML file, matched by what a finding is about."""

import datetime
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, ClassVar

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError

from leeward.errors import InputError, Place
from leeward.review.records import Finding
from leeward.survey.records import UnusedWaiver, Waiver
from leeward.survey.rules import rules

Text = Annotated[str, Field(min_length=1, pattern=r"\S")]


@dataclass(frozen=True, slots=True)
class WaiverEntry:
    """One entry of a waiver file."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    rule: Text
    parts: Annotated[tuple[Text, ...], Field(min_length=1)]
    reason: Text
    until: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class WaiverFile:
    """A waiver file."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    waiver: tuple[WaiverEntry, ...] = ()


_FILE = TypeAdapter(WaiverFile)


def read_waivers(path: str) -> tuple[Waiver, ...]:
    """Return the waivers of a file. Raises InputError naming the entry that is wrong."""
    try:
        text = Path(path).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise InputError(f"cannot read the waiver file: {reason}", do="check the path", place=Place(path)) from error
    return parse_waivers(text, path)


def parse_waivers(text: str, name: str) -> tuple[Waiver, ...]:
    """Return the waivers that a TOML text lists. Raises InputError."""
    try:
        entries = _FILE.validate_python(tomllib.loads(text), strict=False).waiver
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"not TOML: {error}", do="mend that line", place=Place(name)) from error
    except ValidationError as error:
        raise InputError(_fault(error), do="mend that entry", place=Place(name)) from error
    for number, entry in enumerate(entries, 1):
        if entry.rule not in rules():
            raise InputError(
                f"waiver {number}: no rule {entry.rule}", do="see `leeward survey --list`", place=Place(name)
            )
    return tuple(Waiver(entry.rule, entry.parts, entry.reason, entry.until) for entry in entries)


def waive(
    findings: Sequence[Finding], waivers: Sequence[Waiver], today: datetime.date
) -> tuple[tuple[Finding, ...], tuple[UnusedWaiver, ...]]:
    """Return the findings, those accepted with the reason, and the waivers that accept none and why.

    A waiver counts to the end of its last day.
    """
    counting = [waiver for waiver in waivers if waiver.until is None or waiver.until >= today]
    waived = [_waived(finding, counting) for finding in findings]
    unused = [
        UnusedWaiver(waiver, _why_unused(waiver, today))
        for waiver in waivers
        if waiver not in counting or not any(matches(waiver, finding) for finding in findings)
    ]
    return tuple(waived), tuple(unused)


def matches(waiver: Waiver, finding: Finding) -> bool:
    """Return whether a waiver is about a finding: the same rule, and the same parts in any order, by id or ref."""
    if waiver.rule != finding.rule or len(waiver.parts) != len(finding.parts):
        return False
    left = list(zip(finding.parts, finding.refs, strict=True))
    for name in waiver.parts:
        found = next((pair for pair in left if name in pair), None)
        if found is None:
            return False
        left.remove(found)
    return True


def _waived(finding: Finding, waivers: Sequence[Waiver]) -> Finding:
    found = next((waiver for waiver in waivers if matches(waiver, finding)), None)
    return finding if found is None else replace(finding, waived=found.reason)


def _why_unused(waiver: Waiver, today: datetime.date) -> str:
    if waiver.until is not None and waiver.until < today:
        return f"it ended on {waiver.until.isoformat()}"
    return "no such finding"


def _fault(error: ValidationError) -> str:
    fault = error.errors()[0]
    where = ".".join(str(step + 1 if isinstance(step, int) else step) for step in fault["loc"])
    if fault["type"] in ("unexpected_keyword_argument", "extra_forbidden"):
        return f"unknown key {where}: a waiver has rule, parts, reason and until"
    return f"{where}: {fault['msg'][0].lower()}{fault['msg'][1:]}"
