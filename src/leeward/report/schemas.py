"""The JSON Schemas of the documents that other programs read."""

from collections.abc import Mapping
from typing import Any

from leeward.report.calibration_documents import CalibrationDocument, PlanDocument
from leeward.report.documents import PartsDocument, ReviewDocument, SurveyDocument

DOCUMENTS: Mapping[str, type[Any]] = {
    "parts": PartsDocument,
    "review": ReviewDocument,
    "survey": SurveyDocument,
    "calibration": CalibrationDocument,
    "calibration-plan": PlanDocument,
}


def schema(name: str) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a document by its name. KeyError for a name that is not known."""
    from pydantic import TypeAdapter  # noqa: PLC0415  # takes longer to import than a whole `leeward parts` to run

    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"leeward.{name}/1",
        **TypeAdapter(DOCUMENTS[name]).json_schema(),
    }
