from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, cast

from django import forms
from django.utils.functional import cached_property

from buildlog.lists.answers import Answers
from buildlog.lists.columns import Match
from buildlog.lists.kinds import KINDS, Bringing, Kind
from buildlog.lists.reading import DELIMITERS, ENCODINGS
from buildlog.units import UnitError, find_currency, parse_decimal

# As many as a page can hold; those still to be asked come first, and then the next.
MOST_NAMES = 80
UNITS = {
    "length": [("mm", "mm"), ("cm", "cm"), ("m", "m"), ("in", "inches"), ("ft", "feet")],
    "hours": [("h", "hours"), ("min", "minutes"), ("d", "days of 24 hours")],
}
MARKS = [("", "as each cell shows"), (",", "a comma: 1,25"), (".", "a point: 1.25")]
ORDERS = [("", "as each date shows"), ("dmy", "the day: 03/09 is 3 September"),
          ("mdy", "the month: 03/09 is 9 March")]  # fmt: skip


class Stands(forms.Select):
    def use_required_attribute(self, initial: Any) -> bool:
        return False  # a browser takes "" for no answer


class Said(forms.ChoiceField):
    """A choice that always stands at something; "" is one of its answers, not a missing one."""

    widget = Stands

    def validate(self, value: str) -> None:
        if value != "" or not self.valid_value(value):
            super().validate(value)


def offer(form: forms.Form, name: str, choices: Iterable[tuple[str, str]], initial: str) -> None:
    """Give a field of a form its choices and the one at which it stands."""
    field = cast(forms.ChoiceField, form.fields[name])
    field.choices, field.initial = list(choices), initial


class UploadForm(forms.Form):
    """Which list is sent, and of what."""

    file = forms.FileField(
        label="The file",
        help_text="CSV or XLSX, as your spreadsheet saves it. Nothing is written until you have "
        "seen what it does.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
    )
    kind = Said(label="It is a list of")

    def __init__(self, *args: Any, kinds: list[Kind], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(kind.key, kind.title.lower()) for kind in kinds]
        offer(self, "kind", [("", "what its headings say"), *named], "")

    def clean_kind(self) -> Kind | None:
        return KINDS.get(self.cleaned_data["kind"])


class CorrectedForm(forms.Form):
    corrected = forms.FileField(
        label="The corrected file",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
    )


@dataclass(frozen=True, slots=True)
class ColumnLine:
    """One heading of the file on the page: what its cells say, and the fields that explain it."""

    heading: str
    examples: list[str]
    means: forms.BoundField
    unit: forms.BoundField | None
    mark: forms.BoundField | None


class LookForm(forms.Form):
    """Everything about a list that may be said otherwise than it was found."""

    header_row = forms.IntegerField(label="The headings are in row", min_value=1, max_value=20_000)
    sheet = Said(label="Sheet")
    encoding = Said(
        label="Letters were saved as",
        help_text="Change it if accents or signs look wrong above.",
    )  # fmt: skip
    delimiter = Said(label="Between the cells stands")
    order = Said(label="Dates with slashes begin with", choices=ORDERS)
    currency = forms.CharField(label="Amounts without a currency are in", max_length=3)

    def __init__(self, *args: Any, bringing: Bringing, kind: Kind, **kwargs: Any) -> None:
        self.bringing, self.kind = bringing, kind
        self.matched: dict[int, Match] = {m.index: m for m in bringing.found.matches}
        super().__init__(*args, **kwargs)
        self._add_reading()
        self._add_columns()
        self._add_money()
        self._open_what_is_asked()
        self.names = sorted(bringing.names, key=lambda asked: asked.answer != "")[:MOST_NAMES]
        for number, asked in enumerate(self.names):
            choices = list(asked.choices) if asked.answer else [("", "say which"), *asked.choices]
            self.fields[f"name_{number}"] = Said(
                label=f"The material “{asked.name}” is", choices=choices, initial=asked.answer
            )

    def _add_reading(self) -> None:
        raw, said = self.bringing.found.table.raw, self.bringing.answers
        self.fields["header_row"].initial = self.bringing.found.table.header_row
        if raw.form == "xlsx":
            offer(self, "sheet", [(name, name) for name in raw.sheets], raw.sheet)
            gone = ["encoding", "delimiter"] + (["sheet"] if len(raw.sheets) == 1 else [])
        else:
            encodings = ENCODINGS | {raw.encoding: ENCODINGS.get(raw.encoding, raw.encoding)}
            marks = [(mark, f"a {name}") for mark, name in DELIMITERS.items()]
            offer(self, "encoding", encodings.items(), raw.encoding)
            offer(self, "delimiter", marks, raw.delimiter)
            gone = ["sheet"]
        for name in gone:
            del self.fields[name]
        terms = self.bringing.found.terms.values()
        found = next((term.order for term in terms if term.order), None)
        self.fields["order"].initial = said.order or found or ""
        if not any(m.column.reader.kind == "date" for m in self.bringing.found.matches):
            del self.fields["order"]

    def _add_columns(self) -> None:
        choices = [("", "– leave it out –")] + [(c.key, c.label) for c in self.kind.columns]
        for index, heading in enumerate(self.bringing.found.table.headings):
            match = self.matched.get(index)
            self.fields[f"column_{index}"] = Said(
                label=f"“{heading or f'column {index + 1}'}” means",
                choices=choices, initial=match.column.key if match else "",
            )  # fmt: skip
            if match:
                self._add_terms(match)

    def _add_terms(self, match: Match) -> None:
        key, kind = match.column.key, match.column.reader.kind
        term = self.bringing.found.terms[key]
        if kind in UNITS:
            default = term.unit or ("h" if kind == "hours" else "mm")
            self.fields[f"unit_{key}"] = Said(
                label=f"Bare numbers under “{match.heading}” are in",
                choices=UNITS[kind], initial=default,
            )  # fmt: skip
        if kind in ("length", "hours", "number"):
            self.fields[f"decimal_{key}"] = Said(
                label=f"Decimals under “{match.heading}” stand behind",
                choices=MARKS, initial=term.decimal or "",
            )  # fmt: skip

    def _add_money(self) -> None:
        home, said = self.bringing.build.currency, self.bringing.answers
        if not any(column.key == "currency" for column in self.kind.columns):
            del self.fields["currency"]
            return
        self.fields["currency"].initial = said.currency or home
        for code in sorted(self.bringing.foreign - {home}):
            self.fields[f"rate_{code}"] = forms.CharField(
                label=f"One {code} was, in {home}", required=False,
                initial=said.rates.get(code, ""),
                widget=forms.TextInput(attrs={"inputmode": "decimal"}),
            )  # fmt: skip

    def _open_what_is_asked(self) -> None:
        for question in self.bringing.found.open:
            name = {"order": "order", "decimal": f"decimal_{question.key}"}.get(question.about, "")
            if name in self.fields:
                kinds = ORDERS if name == "order" else MARKS
                offer(self, name, [("", "say which"), *kinds[1:]], "")

    def clean_currency(self) -> str:
        try:
            return find_currency(self.cleaned_data["currency"].strip().upper()).code
        except UnitError as error:
            raise forms.ValidationError(str(error)) from None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in [n for n in self.fields if n.startswith("rate_") and cleaned.get(n)]:
            try:
                if parse_decimal(cleaned[name]) <= 0:
                    self.add_error(name, "A rate is more than nothing.")
            except UnitError as error:
                self.add_error(name, str(error))
        meant = [cleaned[n] for n in self.fields if n.startswith("column_") and cleaned.get(n)]
        for key in {key for key in meant if meant.count(key) > 1}:
            label = next(c.label for c in self.kind.columns if c.key == key)
            raise forms.ValidationError(f"Two columns cannot both be “{label}”.")
        return cleaned

    def answers(self) -> Answers:
        """What was said. What stands as it was found is said too, but for how the file is read."""
        data, changed = self.cleaned_data, set(self.changed_data)
        said = Answers.from_json(self.bringing.answers.to_json())
        for name in ("sheet", "encoding", "delimiter", "header_row"):
            if name in changed:
                setattr(said, name, data[name])
        for name in ("order", "currency"):
            if name in self.fields:
                setattr(said, name, data[name])
        reread = changed & {"sheet", "encoding", "delimiter", "header_row"}
        if reread:
            said.columns, said.units, said.decimals = {}, {}, {}
            return said
        said.columns = self._of("column_")
        said.units |= self._of("unit_", changed)
        said.decimals |= self._of("decimal_", changed)
        said.rates |= self._of("rate_")
        for number, asked in enumerate(self.names):
            if data[f"name_{number}"]:
                said.names[asked.key] = data[f"name_{number}"]
        return said

    def _of(self, prefix: str, only: set[str] | None = None) -> dict[str, str]:
        return {
            name.removeprefix(prefix): self.cleaned_data[name]
            for name in self.fields
            if name.startswith(prefix) and (only is None or name in only)
        }

    @cached_property
    def lines(self) -> list[ColumnLine]:
        """The file's headings, for the table of columns."""
        table = self.bringing.found.table
        return [
            ColumnLine(
                heading or f"column {index + 1}",
                list(dict.fromkeys(table.column(index)))[:3],
                self[f"column_{index}"],
                self._bound("unit", index),
                self._bound("decimal", index),
            )
            for index, heading in enumerate(table.headings)
        ]

    def _bound(self, what: str, index: int) -> forms.BoundField | None:
        match = self.matched.get(index)
        name = f"{what}_{match.column.key}" if match else ""
        return self[name] if name in self.fields and self[name] not in self.to_say else None

    @cached_property
    def to_say(self) -> list[forms.BoundField]:
        """What somebody has to say, or should see before the list goes in."""
        found = self.bringing.found
        names = ["order"] if any(q.about == "order" for q in found.open) else []
        names += [f"decimal_{q.key}" for q in found.open if q.about == "decimal"]
        names += [f"unit_{key}" for key in found.bare if self._no_unit_said(key)]
        names += [f"name_{n}" for n in range(len(self.names))]
        names += [name for name in self.fields if name.startswith("rate_")]
        return [self[name] for name in names if name in self.fields]

    def _no_unit_said(self, key: str) -> bool:
        return not any(m.column.key == key and m.unit for m in self.bringing.found.matches)

    @property
    def of_reading(self) -> Iterator[forms.BoundField]:
        """How the file is read, where nobody has to say it."""
        names = ("header_row", "sheet", "encoding", "delimiter", "order", "currency")
        return (self[n] for n in names if n in self.fields and self[n] not in self.to_say)
