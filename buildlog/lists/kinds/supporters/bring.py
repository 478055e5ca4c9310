"""Supporters in, with what they gave: known again by name and email; a gift by its day, amount
and purpose, and by turn where two are alike.

Consent to be named is never taken for granted: without a column that says so nobody is named.
"""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from buildlog.lists.fold import fold_name
from buildlog.lists.kinds.base import Bringing, check_fields, settle, turns
from buildlog.lists.records import Record, State
from buildlog.supporters.models import Contribution, Supporter
from buildlog.units import Amount, UnitError

OWN = {"since": "since", "agreed": "agreed", "shown_as": "shown_as", "notes": "notes"}


class _Block:
    """One supporter of the list: the rows that name them and do not say otherwise."""

    def __init__(self, row: Supporter | None) -> None:
        self.row = row
        self.said: dict[str, Any] = {}
        self.turn = turns()
        self.gifts: dict[Any, Contribution] = {}
        if row is not None:
            turn = turns()
            self.gifts = {
                turn(_gift_key(g.day, g.amount, g.note)): g for g in row.contributions.all()
            }

    def takes(self, said: dict[str, Any]) -> bool:
        return all(self.said.get(key, value) == value for key, value in said.items())


def _gift_key(day: Any, amount: Any, note: str) -> Any:
    return day, amount, fold_name(note)


def check(bringing: Bringing) -> None:
    known: dict[Any, list[Supporter]] = {}
    rows = bringing.build.supporters.order_by("since", "name", "pk")
    for supporter in rows.prefetch_related("contributions"):
        email = fold_name(supporter.email) if bringing.found.has("email") else ""
        known.setdefault((fold_name(supporter.name), email), []).append(supporter)
    blocks: dict[Any, list[_Block]] = {}
    for record in bringing.good:
        _refuse_email(record)
        key = fold_name(record.get("name")), fold_name(record.get("email", ""))
        said = {own: record.get(own) for own in OWN if record.cells.get(own)}
        mine = blocks.setdefault(key, [])
        block = next((b for b in mine if b.takes(said)), None)
        if block is None:
            rows_of_name = known.get(key, [])
            block = _Block(rows_of_name[len(mine)] if len(mine) < len(rows_of_name) else None)
            mine.append(block)
        block.said |= said
        if record.good:
            _settle(record, block, bringing)
    if not bringing.found.has("agreed"):
        bringing.note("No column says who agreed to be named, so new supporters are not.")


def _refuse_email(record: Record) -> None:
    if record.get("email"):
        try:
            validate_email(record.get("email"))
        except ValidationError:
            record.refuse("email", "not-an-email", f"“{record.get('email')}” is no email address.")


def _settle(record: Record, block: _Block, bringing: Bringing) -> None:
    amount, day = _gift(record, bringing)
    given: dict[str, tuple[str, Any]] = {}
    for field, key in OWN.items():
        if record.has(key) and (record.cells.get(key) or block.row is None or not block.said):
            given[field] = (key, record.values[key])
    if given.get("since", ("", None))[1] is None:
        given.pop("since", None)
        if block.row is None:
            given["since"] = ("since", day or bringing.today)
    if record.has("email"):
        given["email"] = ("email", record.get("email", ""))
    if not record.good:
        return

    def make() -> Supporter:
        return Supporter(build=bringing.build, name=record.get("name"))

    block.row = settle(record, block.row, make, given)
    if amount is not None and record.good:
        key = _gift_key(day, amount, record.get("what_for", ""))
        if block.turn(key) not in block.gifts:
            record.also = Contribution(day=day, amount=amount, note=record.get("what_for", ""))
            check_fields(record, record.also, {"amount": "amount", "note": "what_for"})
            record.outcome = State.NEW if record.outcome == State.NEW else State.CHANGED
            record.changes.append("amount")


def _gift(record: Record, bringing: Bringing) -> tuple[Any, Any]:
    amount: Amount | None = record.get("amount")
    if amount is None or amount.value == 0:
        return None, record.get("day")
    home = bringing.build.currency
    try:
        if amount.currency_or(home) != home:
            record.refuse("amount", "other-currency", f"Give what came from supporters in {home}.")
    except UnitError as error:
        record.refuse("amount", error.rule, str(error))
    if record.get("day") is None:
        record.refuse("day" if record.has("day") else "amount", "needed",
                      "On which day was it given? A gift needs its date.")  # fmt: skip
    return amount.value, record.get("day")


def write(bringing: Bringing) -> None:
    for record in bringing.going:
        supporter: Supporter = record.target
        supporter.save()
        gift: Contribution | None = record.also
        if gift:
            gift.supporter = supporter
            gift.save()
