"""Tests of `leeward schema`."""

import json

import pytest

from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.report.schemas import DOCUMENTS, schema


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_a_schema_is_printed(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What is printed is the schema that the tests validate against."""
    assert run(["schema", name]) == ExitCode.DONE
    assert json.loads(capsys.readouterr().out) == schema(name)


def test_the_help_names_every_document(capsys: pytest.CaptureFixture[str]) -> None:
    """Whoever asks for help reads which documents there are."""
    assert run(["schema", "-h"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert all(name in told for name in DOCUMENTS)
