"""Bring a list into a build: the one way in, for pages, API and tests.

    bringing = look(build, person, kind, content, answers)   # reads and checks, writes nothing
    write(bringing)                                          # all or nothing

`look` twice with the same file gives the same answer while the build stays as it is.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from buildlog.lists.answers import Answers
from buildlog.lists.kinds import Bringing, Kind, guess_kind, is_heading
from buildlog.lists.reading import Refused, Table, read_table
from buildlog.lists.records import Fault, State
from buildlog.lists.understanding import understand
from tasks.models import Build, Person

__all__ = [
    "CannotBring",
    "Counts",
    "counts",
    "faults",
    "kind_of",
    "look",
    "read",
    "refuse_unready",
    "write",
]


class CannotBring(Exception):
    """The list may not be written as it stands: it has faults, or questions nobody answered."""


@dataclass(frozen=True, slots=True)
class Counts:
    """How many rows are new, changed, as they are, refused, and asked."""

    new: int = 0
    changed: int = 0
    same: int = 0
    refused: int = 0
    asked: int = 0

    @property
    def going(self) -> int:
        return self.new + self.changed

    @property
    def words(self) -> str:
        """“7 new, 3 refused”; empty for a list without rows."""
        said = ((self.new, "new"), (self.changed, "changed"), (self.same, "as they are"),
                (self.refused, "refused"), (self.asked, "to be asked"))  # fmt: skip
        return ", ".join(f"{count} {what}" for count, what in said if count)


def read(content: bytes, answers: Answers) -> Table:
    """The table in a file, read as the builder said.

    Raises
    ------
    Refused
    """
    return read_table(
        content,
        is_heading,
        encoding=answers.encoding,
        delimiter=answers.delimiter,
        sheet=answers.sheet,
        header_row=answers.header_row,
    )


def kind_of(content: bytes, answers: Answers) -> Kind:
    """The kind of list that a file is, by its headings.

    Raises
    ------
    Refused
        It cannot be read, or its headings belong to no kind.
    """
    table = read(content, answers)
    kind = guess_kind(table.headings)
    if kind is None:
        heads = ", ".join(heading for heading in table.headings if heading)[:200]
        raise Refused(
            f"Its headings do not tell what the list holds: {heads}. "
            "Say above what it is a list of."
        )
    return kind


def look(build: Build, person: Person, kind: Kind, content: bytes, answers: Answers) -> Bringing:
    """Read a list and hold it against the build. Writes nothing.

    Raises
    ------
    Refused
        The file holds no table.
    """
    unit = "in" if build.length_system == Build.LengthSystem.IMPERIAL else "mm"
    found = understand(read(content, answers), kind.columns, answers, length_unit=unit)
    bringing = Bringing(build, person, found, answers, timezone.localdate(timezone=build.zone))
    if not any(question.about == "column" for question in found.open):
        kind.check(bringing)
    return bringing


def faults(bringing: Bringing) -> list[Fault]:
    """Everything that is wrong, row by row and from left to right."""
    place = {match.heading: match.index for match in bringing.found.matches}
    return sorted(bringing.found.faults, key=lambda fault: (fault.row, place.get(fault.column, -1)))


def counts(bringing: Bringing) -> Counts:
    states = [record.state for record in bringing.records]
    return Counts(
        new=states.count(State.NEW),
        changed=states.count(State.CHANGED),
        same=states.count(State.UNCHANGED),
        refused=states.count(State.REFUSED),
        asked=states.count(State.ASKED),
    )


def write(bringing: Bringing, kind: Kind, *, leave_out: bool = False) -> Counts:
    """Write a list that was looked at, all of it or nothing, and say what changed.

    Parameters
    ----------
    leave_out
        Leave rows with faults out and bring the others in. Otherwise one fault stops it all.

    Raises
    ------
    CannotBring

    Notes
    -----
    Call it in the transaction in which `look` was called, so that nothing changes in between.
    """
    refuse_unready(bringing, leave_out=leave_out)
    with transaction.atomic():
        kind.write(bringing)
    return counts(bringing)


def refuse_unready(bringing: Bringing, *, leave_out: bool) -> None:
    """Raise `CannotBring` if there are open questions, or faults that are not to be left out."""
    if bringing.found.open:
        raise CannotBring(bringing.found.open[0].message)
    if bringing.found.faults and not leave_out:
        first = faults(bringing)[0]
        raise CannotBring(f"Row {first.row}, {first.column}: {first.message}")
