"""Suppliers by name; new ones are made, and saved when a row that names them is written."""

from __future__ import annotations

from buildlog.lists.fold import fold_name
from buildlog.materials.models import Supplier
from tasks.models import Build

__all__ = ["Suppliers"]


class Suppliers:
    """The suppliers of a build. One query."""

    def __init__(self, build: Build) -> None:
        self._build = build
        self._known = {fold_name(s.name): s for s in build.suppliers.all()}

    def of(self, name: str | None) -> Supplier | None:
        return self.named(name) if name else None

    def named(self, name: str) -> Supplier:
        folded = fold_name(name)
        if folded not in self._known:
            self._known[folded] = Supplier(build=self._build, name=name)
        return self._known[folded]
