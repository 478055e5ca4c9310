"""Find what a cell names: a task by its number or name, a material, a supplier, a person."""

from __future__ import annotations

from collections.abc import Iterable

from buildlog.lists.fold import fold_name
from buildlog.lists.records import Record
from tasks.models import Build, Crew, Person, Role, Task

__all__ = ["People", "Tasks"]


class Tasks:
    """The tasks of a build by number, or by name where only one has it. One query."""

    def __init__(self, build: Build) -> None:
        self.by_key: dict[int, Task] = {}
        self._by_code: dict[str, Task] = {}
        self._by_name: dict[str, Task | None] = {}
        for task in build.tasks.all():
            task.build = build
            self.by_key[task.pk] = task
            self._by_code[fold_name(task.code)] = task
            name = fold_name(task.name)
            self._by_name[name] = None if name in self._by_name else task

    def find(self, text: str) -> Task | None:
        """The task that a cell names. “7 Fit chine logs” names it too."""
        folded = fold_name(text)
        found = self._by_code.get(folded) or self._by_name.get(folded)
        if found is None and " " in folded:
            code, name = folded.split(" ", 1)
            task = self._by_code.get(code)
            found = task if task and fold_name(task.name) == name else None
        return found

    def of(self, record: Record, key: str) -> Task | None:
        """The task that a record names in a column; refused there if there is none."""
        text = record.get(key)
        if not text:
            return None
        found = self.find(text)
        if found is None:
            record.refuse(key, "no-such-task", f"There is no task {text}.")
        return found


class People:
    """The crew of a build by name. One query.

    “owner”, and “me”, stand for the one owner and for whoever brings the list in.
    """

    def __init__(self, build: Build, me: Person) -> None:
        crew: Iterable[Crew] = Crew.objects.filter(build=build).select_related("person")
        self._known: dict[str, Person | None] = {}
        owners = []
        for place in crew:
            for name in {fold_name(place.person.username), fold_name(place.person.name)} - {""}:
                self._known[name] = None if name in self._known else place.person
            if place.role == Role.OWNER:
                owners.append(place.person)
        if len(owners) == 1:
            self._known.setdefault("owner", owners[0])
        self._known.setdefault("me", me)

    def find(self, text: str) -> Person | None:
        return self._known.get(fold_name(text))
