"""Lists out of a build, as CSV or XLSX."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.utils.text import slugify

from buildlog.lists.columns import Column
from buildlog.lists.kinds import KINDS, Kind
from buildlog.lists.writing import to_csv, to_xlsx
from tasks.models import Build

__all__ = ["FORMS", "columns_of", "csv_of", "file_name", "workbook_of"]

FORMS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def columns_of(kind: Kind, money: bool) -> list[Column]:
    """The columns that go out; prices only to those who may see money."""
    return [column for column in kind.columns if money or not column.money]


def headings_of(build: Build, columns: Iterable[Column]) -> list[str]:
    """Headings; a build in inches writes its lengths with their units, so they name none."""
    imperial = build.length_system == Build.LengthSystem.IMPERIAL
    return [
        column.heading.removesuffix(" mm")
        if imperial and column.reader.kind == "length"
        else column.heading
        for column in columns
    ]


def rows_of(build: Build, kind: Kind, money: bool) -> Iterator[list[Any]]:
    keys = [column.key for column in columns_of(kind, money)]
    for row in kind.take(build, money):
        yield [row.get(key) for key in keys]


def csv_of(build: Build, kind: Kind, money: bool) -> bytes:
    return to_csv(headings_of(build, columns_of(kind, money)), rows_of(build, kind, money))


def workbook_of(build: Build, kinds: Iterable[Kind], money: bool) -> bytes:
    """One workbook, a sheet for each kind of list."""
    return to_xlsx(
        (kind.title, headings_of(build, columns_of(kind, money)), rows_of(build, kind, money))
        for kind in kinds
    )


def file_name(build: Build, what: str, form: str) -> str:
    return f"{slugify(build.name) or 'build'}-{what}.{form}"


def kinds_seen(rights: frozenset[str]) -> list[Kind]:
    return [kind for kind in KINDS.values() if kind.see in rights]
