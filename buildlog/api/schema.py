"""What every endpoint has in common, said once in the schema: its errors."""

from __future__ import annotations

from typing import Any

ERROR = {
    "type": "object",
    "required": ["error"],
    "properties": {
        "error": {
            "type": "object",
            "required": ["code", "message"],
            "properties": {
                "code": {"type": "string"},
                "message": {"type": "string"},
                "fields": {
                    "type": "object",
                    "additionalProperties": {
                        "type": "array",
                        "items": {
                            "type": "object",
                            "required": ["code", "message"],
                            "properties": {
                                "code": {"type": "string"},
                                "message": {"type": "string"},
                            },
                        },
                    },
                },
            },
        }
    },
}


def add_errors(result: dict[str, Any], **kwargs: Any) -> dict[str, Any]:
    """Add the one shape of error as every operation's other answer."""
    result.setdefault("components", {}).setdefault("schemas", {})["Error"] = ERROR
    answer = {
        "description": "Refused, with the reason.",
        "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Error"}}},
    }
    for path in result.get("paths", {}).values():
        for operation in path.values():
            if isinstance(operation, dict) and "responses" in operation:
                operation["responses"]["default"] = answer
    return result
