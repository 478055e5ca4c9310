"""JSON as it comes in: read whole, or refused with what is wrong in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

#: More than any row here has: lists of objects in an object.
DEEPEST = 20


class PlainJSONParser(JSONParser):
    """JSON that can be kept: no number without end, no half of a character, not nested for ever.

    Python reads all three, and they break much later: in the database, or in the answer that
    would say what was wrong with them.
    """

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        try:
            data = super().parse(stream, media_type, parser_context)
        except RecursionError:
            raise ParseError(f"It is nested more than {DEEPEST} deep.") from None
        except LookupError:
            raise ParseError("Send it as UTF-8.") from None
        refuse_odd(data)
        return data


def refuse_odd(value: Any, depth: int = 0) -> None:
    """Raise ParseError for what cannot be kept or answered."""
    if depth > DEEPEST:
        raise ParseError(f"It is nested more than {DEEPEST} deep.")
    if isinstance(value, str):
        if not value.isascii() and any("\ud800" <= char <= "\udfff" for char in value):
            raise ParseError("There is half of a character in it (a lone surrogate).")
    elif isinstance(value, float):
        if not math.isfinite(value):
            raise ParseError("There is a number in it that is too large to be one.")
    elif isinstance(value, dict):
        for name, inner in value.items():
            refuse_odd(name, depth)
            refuse_odd(inner, depth + 1)
    elif isinstance(value, list):
        for inner in value:
            refuse_odd(inner, depth + 1)
