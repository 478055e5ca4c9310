"""Sizes, forms and counts of materials and parts in a few words."""

from __future__ import annotations

from decimal import Decimal

from buildlog.materials.models import Material, Part
from buildlog.templatetags.measures import as_length, quantity
from tasks.models import Build

__all__ = ["count_words", "form_words", "pack_words", "size_words"]

TIMES = " × "


def sizes(build: Build, *lengths: Decimal | None) -> str:
    """`2500 × 1220 × 9 mm`, or `4′ × 8″`: the unit once, where all have it, and ≈ too."""
    shown = [as_length(mm, build) for mm in lengths if mm is not None]
    if len(shown) > 1 and all(one.endswith(" mm") for one in shown):
        shown[:-1] = [one.removesuffix(" mm") for one in shown[:-1]]
    about = "≈ " if any(one.startswith("≈ ") for one in shown) else ""
    return about + TIMES.join(one.removeprefix("≈ ") for one in shown)


def form_words(material: Material, build: Build) -> str:
    """The form a material is sold in: `2500 × 1220 × 9 mm`, `4000 mm of 45 × 30 mm`."""
    long, wide, thick = material.length_mm, material.width_mm, material.thickness_mm
    match material.kind:
        case Material.Kind.TIMBER:
            section = sizes(build, wide, thick)
            if long and section:
                return f"{sizes(build, long)} of {section}"
            return section or sizes(build, long)
        case Material.Kind.CLOTH:
            said = [f"{sizes(build, wide)} wide"] if wide else []
            said += [quantity(material.areal_weight, "g/m²")] if material.areal_weight else []
            return ", ".join(said)
        case Material.Kind.RESIN if material.areal_weight:
            return f"{quantity(material.areal_weight, 'g/m²')} a coat"
        case Material.Kind.COATING if material.coverage:
            return f"covers {quantity(material.coverage, 'm²')} a litre"
    return sizes(build, long, wide, thick)


def pack_words(material: Material) -> str:
    """`packs of 6 kg`; nothing where it is sold singly."""
    return "" if material.pack == 1 else f"packs of {quantity(material.pack, material.unit)}"


def size_words(part: Part, build: Build) -> str:
    """What one piece measures: `1250 × 610 mm, 2 layers`, or its amount where it has no shape."""
    if part.quantity is not None:
        return quantity(part.quantity, part.material.unit) + (" each" if part.count > 1 else "")
    said = sizes(build, part.length_mm, part.width_mm, part.thickness_mm)
    if part.layers > 1:
        coats = part.material.kind in (Material.Kind.COATING, Material.Kind.RESIN)
        said += f"{', ' if said else ''}{part.layers} {'coats' if coats else 'layers'}"
    return said


def count_words(part: Part) -> str:
    """`1 pair`, `3`: a mirrored pair counts two."""
    if not part.mirrored:
        return str(part.count)
    pairs = part.count // 2
    return "1 pair" if pairs == 1 else f"{pairs} pairs"
