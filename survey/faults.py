"""What is wrong with a survey, said so that whoever wrote it can mend it."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

DOCUMENT = "document"
"""Path of a fault of the document as a whole."""
LONGEST_FOUND = 60
MOST_FAULTS = 100


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: where in the document, what was expected there and what was found."""

    path: str
    expected: str
    found: str

    def __str__(self) -> str:
        """Say it in one line."""
        return f"{self.path}: expected {self.expected}, found {self.found}"


class SurveyRefused(Exception):
    """A survey is malformed and nothing of it was stored.

    Not a ValueError, which pydantic would swallow where it is raised inside a model.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        """Keep the first faults."""
        self.faults = shortened(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def shortened(faults: Sequence[Fault]) -> tuple[Fault, ...]:
    """Give the first faults and, where there are many, how many more there are."""
    if len(faults) <= MOST_FAULTS:
        return tuple(faults)
    rest = len(faults) - MOST_FAULTS
    return (*faults[:MOST_FAULTS], Fault(DOCUMENT, "no faults", f"{rest} more like these"))


def path_of(location: Sequence[str | int]) -> str:
    """Spell a place in a document as `floors[0].outline[2]`."""
    path = ""
    for step in location:
        if isinstance(step, int):
            path += f"[{step}]"
        else:
            path += f".{step}" if path else step
    return path or DOCUMENT


def shown(value: object) -> str:
    """Spell a value that was found, short enough for one line."""
    text = json.dumps(value, ensure_ascii=True, default=str)
    return text if len(text) <= LONGEST_FOUND else f"{text[: LONGEST_FOUND - 1]}…"


def faults_of(error: ValidationError) -> list[Fault]:
    """Say pydantic's findings in the words of this project."""
    return faults_of_findings(error.errors(include_url=False))


def faults_of_findings(findings: Sequence[Mapping[str, Any]]) -> list[Fault]:
    """Say findings in the form in which pydantic, and frameworks above it, list them."""
    return [_fault(dict(finding)) for finding in findings]


# Kind of finding → what was expected; braces are filled from the finding's own context.
_EXPECTED: Mapping[str, str] = {
    "json_invalid": "JSON",
    "missing": "a value",
    "extra_forbidden": "no field of this name",
    "greater_than": "more than {gt}",
    "greater_than_equal": "at least {ge}",
    "less_than": "less than {lt}",
    "less_than_equal": "at most {le}",
    "finite_number": "a finite number",
    "float_type": "a number",
    "float_parsing": "a number",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_parsing_size": "a whole number of ordinary size",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "string_type": "text",
    "string_too_short": "text of at least {min_length} character(s)",
    "string_too_long": "text of at most {max_length} characters",
    "string_pattern_mismatch": "text of the form {pattern}",
    "string_unicode": "text that is valid Unicode",
    "list_type": "a list",
    "tuple_type": "a point of two numbers",
    "too_short": "at least {min_length} item(s)",
    "too_long": "at most {max_length} items",
    "uuid_type": "a UUID",
    "uuid_parsing": "a UUID",
    "enum": "{expected}",
    "literal_error": "{expected}",
    "model_type": "an object",
    "model_attributes_type": "an object",
    "dict_type": "an object",
    "date_type": "a date like 2026-03-01",
    "date_parsing": "a date like 2026-03-01",
    "date_from_datetime_parsing": "a date like 2026-03-01",
    "date_from_datetime_inexact": "a date like 2026-03-01",
    "datetime_type": "a time like 2026-03-01T09:30:00Z",
    "datetime_parsing": "a time like 2026-03-01T09:30:00Z",
    "datetime_from_date_parsing": "a time like 2026-03-01T09:30:00Z",
    "datetime_object_invalid": "a time like 2026-03-01T09:30:00Z",
    "timezone_aware": "a time with its zone, like 2026-03-01T09:30:00Z",
}


def _fault(finding: dict[str, Any]) -> Fault:
    kind, context, location = finding["type"], finding.get("ctx", {}), list(finding["loc"])
    if kind in _EXPECTED:
        expected = _EXPECTED[kind].format_map(context)
    else:
        # Our own refusals say what they expected; a kind not listed above keeps pydantic's words rather than none.
        expected = str(context.get("expected", finding["msg"]))
    if "at" in context:
        location.append(context["at"])
    return Fault(path_of(location), expected, _found(kind, context, finding["input"]))


def _found(kind: str, context: Mapping[str, Any], value: object) -> str:
    if kind == "missing":
        return "nothing"
    if kind == "json_invalid":
        return str(context["error"])
    if "found" in context:
        return str(context["found"])
    if kind in ("too_short", "too_long"):
        return str(context["actual_length"])
    if kind == "string_too_long" and isinstance(value, str):
        return f"{len(value)} characters"
    return shown(value)
