"""Holds documents against the schemas in docs/reference/schemas, as anybody else would."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import best_match

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "reference" / "schemas"


@cache
def validator(form: str) -> Draft202012Validator:
    """Return the validator of a form such as ``brakelog.verdict/1``; each is made once."""
    name = form.removeprefix("brakelog.").replace("/", "-")
    schema = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema, format_checker=FormatChecker())


def fault_of(document: Any) -> str:
    """Return where a document departs most from its schema, and how; empty where it does not."""
    error = best_match(validator(document["format"]).iter_errors(document))
    return f"{document['format']} {error.json_path}: {error.message}" if error else ""
