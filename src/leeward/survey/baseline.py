"""What an earlier survey found already: findings are new where it had not, or had them as less urgent."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Any

from leeward.errors import InputError, Place
from leeward.review.odds import PRIORITIES
from leeward.review.records import Finding, Priority

SCHEMA = "leeward.survey/1"


@dataclass(frozen=True, slots=True)
class Baseline:
    """The priorities of earlier findings by key, for each board by the name of its file."""

    boards: Mapping[str, Mapping[str, Priority]]

    def of(self, file: str) -> Mapping[str, Priority]:
        """Return the earlier findings on a board; nothing for a board that was not surveyed."""
        return self.boards.get(PurePath(file).name, {})


NO_BASELINE = Baseline({})


def read_baseline(path: str) -> Baseline:
    """Return the baseline that an earlier survey's JSON makes. Raises InputError for anything else."""
    try:
        document = json.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            f"cannot read the baseline: {error.strerror}", do="check the path", place=Place(path)
        ) from error
    except ValueError as error:  # neither UTF-8 nor JSON
        raise InputError("the baseline is not JSON", do="give what --format json wrote", place=Place(path)) from error
    try:
        return _baseline(document)
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise InputError(
            f"the baseline is no document {SCHEMA}", do="give what --format json wrote", place=Place(path)
        ) from error


def is_new(finding: Finding, earlier: Mapping[str, Priority]) -> bool:
    """Return whether an earlier survey had not found this, or had it as less urgent."""
    if finding.key not in earlier:
        return True
    return PRIORITIES.index(finding.priority) < PRIORITIES.index(earlier[finding.key])


def only_new(findings: Sequence[Finding], earlier: Mapping[str, Priority]) -> tuple[Finding, ...]:
    """Return the findings that are new."""
    return tuple(finding for finding in findings if is_new(finding, earlier))


def _baseline(document: Any) -> Baseline:  # noqa: ANN401  # whatever JSON holds; what does not fit is told
    if document["schema"] != SCHEMA:
        raise KeyError("schema")
    boards: dict[str, dict[str, Priority]] = {}
    for board in document["boards"]:
        earlier = boards.setdefault(PurePath(board["board"]["file"]).name, {})
        for finding in board["findings"]:
            earlier[str(finding["key"])] = PRIORITIES[PRIORITIES.index(finding["priority"])]
    return Baseline(boards)
