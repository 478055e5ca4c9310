"""The family of lists. To add a kind: a folder like its brothers, and a line here."""

from __future__ import annotations

from collections.abc import Sequence

from buildlog.lists.columns import is_known, known_in, match_columns
from buildlog.lists.kinds import (
    links,
    log,
    materials,
    parts,
    purchases,
    stock,
    supporters,
    tasks,
)
from buildlog.lists.kinds.base import Bringing, Kind, NameAsked

__all__ = ["KINDS", "Bringing", "Kind", "NameAsked", "guess_kind", "is_heading"]

# In the order in which a builder brings them in: what others refer to comes first.
KINDS: dict[str, Kind] = {
    kind.key: kind
    for kind in (
        materials.KIND, tasks.KIND, links.KIND, parts.KIND, purchases.KIND, stock.KIND, log.KIND,
        supporters.KIND,
    )
}  # fmt: skip

_ALL_KNOWN = known_in(column for kind in KINDS.values() for column in kind.columns)


def is_heading(text: str) -> bool:
    """Whether a text is a heading that some kind of list knows."""
    return is_known(_ALL_KNOWN, text)


def guess_kind(headings: Sequence[str]) -> Kind | None:
    """The kind of list that these headings belong to; None where none fits.

    All that a kind needs must be there; then the one that knows most of the headings is taken.
    """
    filled = [heading for heading in headings if heading]
    best, most = None, 0.0
    for kind in KINDS.values():
        matches = match_columns(filled, kind.columns)
        keys = {match.column.key for match in matches}
        if not all(column.key in keys for column in kind.columns if column.needed):
            continue
        own = {name for column in kind.columns for name in (column.heading, column.label)}
        exact = sum(1 for m in matches if m.heading.casefold() in own)
        score = len(matches) + 0.5 * exact
        if score > most:
            best, most = kind, score
    return best
