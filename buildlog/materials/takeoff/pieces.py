"""The pieces a part is cut as: layers apart, long pieces apart where scarfs join them."""

from __future__ import annotations

from decimal import Decimal

from .values import Grain, Kind, Material, Part

__all__ = ["blanks_of", "sections"]


def sections(length_mm: Decimal, stock_mm: Decimal, joint_mm: Decimal | None) -> list[Decimal]:
    """The lengths to cut for one piece: itself, or full stock lengths and a rest, scarfed.

    Each joint takes ``joint_mm`` (slope x thickness) out of the run. None: no joint is allowed,
    and the piece is given as it is.

    Examples
    --------
    >>> sections(Decimal(4808), Decimal(2440), Decimal(72))  # two sheets of 9 mm, 8:1
    [Decimal('2440'), Decimal('2440')]
    """
    if joint_mm is None or length_mm <= stock_mm or stock_mm <= joint_mm:
        return [length_mm]
    cut: list[Decimal] = []
    while length_mm > stock_mm:
        cut.append(stock_mm)
        length_mm -= stock_mm - joint_mm
    return [*cut, length_mm]


def blanks_of(part: Part, material: Material) -> list[tuple[Decimal, Decimal]]:
    """Every piece to cut for a part, as (length, width) in mm; width is nought for timber.

    Empty for a part without a shape or of a material that is not cut.
    """
    if part.quantity is not None or part.length_mm is None:
        return []
    joint = _joint(part, material)
    if material.kind is Kind.TIMBER and material.length_mm:
        cut = sections(part.length_mm, material.length_mm, joint)
        return [(mm, Decimal(0)) for mm in cut] * (part.count * part.layers)
    if material.kind is Kind.SHEET and part.width_mm and material.length_mm and material.width_mm:
        run = material.width_mm if part.grain is Grain.ACROSS else material.length_mm
        cut = sections(part.length_mm, run, joint)
        return [(mm, part.width_mm) for mm in cut] * (part.count * part.layers)
    return []


def _joint(part: Part, material: Material) -> Decimal | None:
    thick = material.thickness_mm or part.thickness_mm
    if part.scarf_ratio is None or thick is None:
        return None
    return part.scarf_ratio * thick
