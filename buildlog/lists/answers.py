"""What the builder said about a file: which column is what, units, decimal marks, names."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field, replace
from typing import Any

__all__ = ["Answers"]


@dataclass(slots=True)
class Answers:
    """Everything a file leaves open and somebody has settled. Empty means: as found.

    Attributes
    ----------
    sheet, encoding, delimiter, header_row
        How to read the file; see `reading.read_table`.
    columns
        Index of heading (as text) to key of column; "" leaves the heading out.
    units, decimals
        Key of column to unit of its bare numbers; to its decimal mark.
    order
        dmy or mdy for dates that may be either.
    currency
        Of amounts without one.
    rates
        Currency code to what one of it is in the build's currency, as typed.
    names
        Name of an unknown material, folded, to what to do with it: see `kinds.materials`.
    """

    sheet: str = ""
    encoding: str = ""
    delimiter: str = ""
    header_row: int | None = None
    columns: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    decimals: dict[str, str] = field(default_factory=dict)
    order: str = ""
    currency: str = ""
    rates: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Answers:
        known = {name: stored[name] for name in cls.__dataclass_fields__ if name in stored}
        return cls(**known)

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    def for_the_next(self) -> Answers:
        """What of it holds for the next list with the same headings: not how the file was read,
        and not rates, for those change."""
        if self.sheet or self.encoding or self.delimiter or self.header_row:
            return Answers()
        return replace(self, rates={})

    @property
    def chosen(self) -> dict[int, str]:
        return {int(index): key for index, key in self.columns.items()}
