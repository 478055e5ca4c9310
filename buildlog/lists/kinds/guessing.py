"""What kind of material a name is likely to mean. A guess is shown, and can be changed."""

from __future__ import annotations

import re

from buildlog.lists.fold import fold

__all__ = ["UNIT_OF", "guess_kind"]

_WORDS = (
    ("fastener", "screw screws bolt bolts nail nails rivet rivets nut nuts washer washers staple "
                 "staples clench roves stud studs coach"),
    ("coating", "paint primer undercoat topcoat varnish antifoul antifouling enamel oil stain "
                "coating gloss barrier"),
    ("resin", "epoxy resin hardener glue adhesive filler microballoons silica thickener gelcoat"),
    ("cloth", "glass cloth fibreglass fiberglass biax biaxial mat tape roving peel carbon aramid "
              "woven"),
    ("sheet", "ply plywood mdf sheet panel okoume gaboon ocoume foam polycarbonate acrylic"),
    ("timber", "fir pine oak ash larch cedar spruce mahogany teak iroko timber lumber board plank "
               "batten beam iroko hemlock elm walnut cherry birch maple douglas stringer softwood "
               "hardwood sapele yellow cypress"),
    ("equipment", "engine motor pump battery cleat winch rope anchor chain lamp light stove sail "
                  "compass hatch window tank valve wire cable"),
)  # fmt: skip
_KIND = {word: kind for kind, words in reversed(_WORDS) for word in words.split()}

UNIT_OF = {
    "sheet": "sheet", "timber": "length", "resin": "kg", "cloth": "m", "fastener": "each",
    "coating": "litre", "equipment": "each",
}  # fmt: skip
"""What each kind is counted in where nothing else is said."""


def guess_kind(name: str) -> str:
    """The kind of material a name speaks of, or "" where it says nothing.

    >>> guess_kind("ply 9"), guess_kind("fir 1x2"), guess_kind("bronze screw"), guess_kind("x")
    ('sheet', 'timber', 'fastener', '')
    """
    words = fold(name).split()
    found = [_KIND[word] for word in words if word in _KIND]
    if found:
        order = [kind for kind, _ in _WORDS]
        return min(found, key=order.index)
    return "timber" if re.search(r"\d\s?x\s?\d", name, re.I) else ""
