"""One shape for every error of the API.

`{"error": {"code": "invalid", "message": "…", "fields": {"name": [{"code", "message"}]}}}`;
`fields` only where a field is at fault; what concerns the whole row stands under `""`.
"""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.exceptions import ValidationError as DjangoValidationError
from django.db.models import RestrictedError
from django.http import Http404
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.views import set_rollback

from tasks.acts import CannotDo
from tasks.changes import Refused


class Conflict(exceptions.APIException):
    """The rows as they stand do not allow it; the message says why and what to do."""

    status_code = status.HTTP_409_CONFLICT
    default_code = "conflict"
    default_detail = "This cannot be done as things stand."


def answer(error: Exception, context: dict[str, Any]) -> Response | None:
    """The response for an error, or None for what is a fault of the program."""
    known = _known(error)
    if known is None:
        return None
    set_rollback()
    headers = {}
    if header := getattr(known, "auth_header", None):
        headers["WWW-Authenticate"] = header
    if wait := getattr(known, "wait", None):
        headers["Retry-After"] = str(int(wait))
    return Response({"error": _body(known)}, status=known.status_code, headers=headers)


def _known(error: Exception) -> exceptions.APIException | None:
    match error:
        case exceptions.APIException():
            return error
        case Http404():
            return exceptions.NotFound("There is no such thing here.")
        case PermissionDenied():
            return exceptions.PermissionDenied(str(error) or None)
        case DjangoValidationError():
            return exceptions.ValidationError(as_detail(error))
        case CannotDo() | Refused():
            return Conflict(error.message)
        case RestrictedError():
            return Conflict("Other rows hang on it. Move or delete those first.")
    return None


def as_detail(error: DjangoValidationError) -> dict[str, list[exceptions.ErrorDetail]]:
    """A model's or form's errors, field by field, with their codes."""
    if not hasattr(error, "error_dict"):
        return {"": _details(error.error_list)}
    return {
        "" if name == "__all__" else name: _details(errors)
        for name, errors in error.error_dict.items()
    }


def _details(errors: list[DjangoValidationError]) -> list[exceptions.ErrorDetail]:
    return [
        exceptions.ErrorDetail(message, error.code or "invalid")
        for error in errors
        for message in error.messages
    ]


def _body(error: exceptions.APIException) -> dict[str, Any]:
    if not isinstance(error, exceptions.ValidationError):
        detail = error.detail
        return {"code": getattr(detail, "code", error.default_code), "message": str(detail)}
    detail = error.detail
    if isinstance(detail, list):
        detail = {"": detail}
    fields = {
        "" if name == "non_field_errors" else name: _flat(errors) for name, errors in detail.items()
    }
    first = next((row["message"] for rows in fields.values() for row in rows), "")
    return {"code": "invalid", "message": first, "fields": fields}


def _flat(errors: Any) -> list[dict[str, str]]:
    """Errors of a field as a list, those of rows within it too."""
    if isinstance(errors, dict):
        return [
            {**row, "message": f"{name}: {row['message']}"}
            for name, inner in errors.items()
            for row in _flat(inner)
        ]
    if isinstance(errors, list):
        return [row for error in errors for row in _flat(error)]
    return [{"code": getattr(errors, "code", "invalid"), "message": str(errors)}]
