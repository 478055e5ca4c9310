"""Materials by name, and what to do with a name that the build does not know."""

from __future__ import annotations

from buildlog.lists.fold import fold, fold_name
from buildlog.lists.kinds.base import Bringing, NameAsked
from buildlog.lists.kinds.guessing import UNIT_OF, guess_kind
from buildlog.lists.records import Record
from buildlog.lists.understanding import Open
from buildlog.materials.models import Material

__all__ = ["Materials"]

# With more unknown names than this, only materials of like names are offered for each.
MANY_NAMES = 30
KIND_LABELS = {
    "sheet": "a sheet", "timber": "a timber", "resin": "a resin", "cloth": "a cloth",
    "fastener": "a fastener", "coating": "a coating", "equipment": "equipment",
}  # fmt: skip


class Materials:
    """Finds the material a cell names. One query.

    An unknown name is answered by `answers.names[folded name]`: `new:KIND` makes a material of
    that kind, `is:PK` takes it for one there is, `text` keeps it as words where the list allows.
    Without an answer a new one is made of the kind that the name speaks of; where it may be one
    there is, or speaks of none, it is asked.
    """

    def __init__(self, bringing: Bringing, key: str, *, text: bool = False) -> None:
        self._bringing, self._key, self._text = bringing, key, text
        self._rows = {m.pk: m for m in bringing.build.materials.all()}
        self._known = {fold_name(m.name): m for m in self._rows.values()}
        self._unknown: dict[str, list[Record]] = {}
        self._made: dict[str, Material] = {}
        self._units: dict[str, str] = {}

    def of(self, record: Record, unit: str = "") -> Material | None:
        """The material of a record, new ones unsaved; None for words only, or while it is asked.

        `unit` is what the row counts it in, for a new one.
        """
        name = record.get(self._key)
        if not name:
            return None
        folded = fold_name(name)
        if folded in self._known:
            return self._known[folded]
        self._unknown.setdefault(folded, []).append(record)
        if unit and folded not in self._units:
            self._units[folded] = unit
        answer = self._answer(folded, name)
        if answer.startswith("is:"):
            return self._rows[int(answer[3:])]
        if answer.startswith("new:"):
            return self._new(folded, name, answer[4:])
        record.asked = record.asked or answer != "text"
        return None

    def _answer(self, folded: str, name: str) -> str:
        given = self._bringing.answers.names.get(folded, "")
        if given.startswith("is:") and given[3:].isdecimal() and int(given[3:]) in self._rows:
            return given
        if given.startswith("new:") and given[4:] in UNIT_OF:
            return given
        if given == "text" and self._text:
            return given
        if self._alike(folded):
            return ""
        kind = guess_kind(name)
        return f"new:{kind}" if kind else "text" if self._text else ""

    def _alike(self, folded: str) -> list[Material]:
        """Materials that have all its words in their names."""
        words = set(fold(folded).split())
        return [m for m in self._rows.values() if words and words <= set(fold(m.name).split())]

    def _new(self, folded: str, name: str, kind: str) -> Material:
        if folded not in self._made:
            unit = self._units.get(folded) or UNIT_OF[kind]
            self._made[folded] = Material(
                build=self._bringing.build, name=name, kind=kind, unit=unit
            )
        return self._made[folded]

    def ask(self) -> None:
        """Put the unknown names, and the open ones among them, on the page."""
        for folded, records in self._unknown.items():
            name = records[0].get(self._key)
            answer = self._answer(folded, name)
            choices = [(f"is:{m.pk}", f"the same as {m.name}") for m in self._alike(folded)]
            choices += [(f"new:{kind}", f"new: {label}") for kind, label in KIND_LABELS.items()]
            if self._text:
                choices.append(("text", "no material, only words"))
            if len(self._unknown) <= MANY_NAMES:
                alike = {value for value, _ in choices}
                others = [m for m in self._rows.values() if f"is:{m.pk}" not in alike]
                choices += [(f"is:{m.pk}", f"the same as {m.name}") for m in others]
            self._bringing.names.append(
                NameAsked(name, folded, len(records), tuple(choices), answer)
            )
            if not answer:
                self._bringing.found.open.append(
                    Open("name", folded, records[0].headings.get(self._key, self._key),
                         records[0].number, name, f"“{name}” is not among your materials.")
                )  # fmt: skip

    def save_new(self, used: set[int]) -> None:
        """Save the new materials that rows really use; `used` holds their `id()`s."""
        for material in self._made.values():
            if id(material) in used and material.pk is None:
                material.save()
