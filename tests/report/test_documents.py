"""Tests of leeward.report.documents."""

import jsonschema
import pytest

from leeward.report.schemas import DOCUMENTS, schema


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_a_schema_is_a_schema(name: str) -> None:
    """Each schema that is printed is valid by its own draft and refuses an empty document."""
    found = schema(name)
    jsonschema.Draft202012Validator.check_schema(found)
    with pytest.raises(jsonschema.ValidationError, match="required"):
        jsonschema.validate({}, found)


def test_a_schema_refuses_another_name() -> None:
    """There is no schema for a document that is not made."""
    with pytest.raises(KeyError):
        schema("survey of nothing")
