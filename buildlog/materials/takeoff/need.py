"""What one part needs of its material, net and gross, and what it weighs.

* Sheet: area of the pieces, in sheets of the material's size.
* Timber: running length of the pieces, in stock lengths or metres.
* Resin: mixed mass; or area x g/m² x coats.
* Cloth: area x plies, over the width of the roll.
* Coating: area x coats over the coverage.
* Fastener, equipment: pieces.

Gross is net x (1 + allowance): the allowance is a share of the *net*. What must be bought is
reckoned over all tasks in ``buying``, since pieces share sheets.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from buildlog.units.factors import to_decimal

from .errors import MissingSize
from .timber import board_feet
from .values import Kind, Material, Part, StockUnit

__all__ = ["Need", "need_of"]


@dataclass(frozen=True, slots=True)
class Need:
    """One part's need.

    Attributes
    ----------
    part, task, material
        The keys given.
    unit
        What ``net`` and ``gross`` are in.
    pieces
        Pieces to be cut, count x layers, for sheet and timber; else count.
    net, gross
        Before and after the allowance.
    length_m, area_m2, board_feet
        The geometry behind it, net; None where it has none.
    mass_kg
        Of the net need, as it goes into the boat; None where it is not known.
    """

    part: Hashable
    task: Hashable | None
    material: Hashable
    unit: StockUnit
    pieces: int
    net: Decimal
    gross: Decimal
    length_m: Decimal | None = None
    area_m2: Decimal | None = None
    board_feet: Decimal | None = None
    mass_kg: Decimal | None = None


def need_of(part: Part, material: Material) -> Need:
    """The need of one part.

    Raises
    ------
    MissingSize
        When a size, weight or coverage that its kind is reckoned by is not given.

    Examples
    --------
    >>> ply = Material(key="ply", kind=Kind.SHEET, unit=StockUnit.SHEET, density=Decimal(450),
    ...     length_mm=Decimal(2500), width_mm=Decimal(1220), thickness_mm=Decimal(9),
    ...     allowance=Decimal("0.10"))
    >>> need = need_of(Part(key=1, material="ply", count=2, mirrored=True,
    ...     length_mm=Decimal(1250), width_mm=Decimal(610)), ply)
    >>> need.area_m2, need.net, need.gross, need.mass_kg
    (Decimal('1.525'), Decimal('0.5'), Decimal('0.55'), Decimal('6.17625'))
    """
    net = net_amount(part, material)
    return need_from(part, material, net, net * (1 + allowance_of(part, material)))


def need_from(part: Part, material: Material, net: Fraction, gross: Fraction) -> Need:
    """The same, from the net and gross need, where those are known already."""
    length, area = _length_m(part, material), _area_m2(part, material)
    mass = _mass_kg(part, material, net, area)
    return Need(
        part=part.key,
        task=part.task,
        material=material.key,
        unit=material.unit,
        pieces=part.count * (part.layers if material.kind in _CUT else 1),
        net=to_decimal(net),
        gross=to_decimal(gross),
        length_m=None if length is None else to_decimal(length),
        area_m2=None if area is None else to_decimal(area),
        board_feet=_board_feet(part, material, length),
        mass_kg=None if mass is None else to_decimal(mass),
    )


def allowance_of(part: Part, material: Material) -> Fraction:
    """The part's own allowance, or its material's."""
    return Fraction(material.allowance if part.allowance is None else part.allowance)


def net_amount(part: Part, material: Material) -> Fraction:
    """Net need in the material's unit, exactly."""
    if part.quantity is not None:
        return Fraction(part.quantity) * part.count
    match material.kind:
        case Kind.SHEET:
            sheet = _wanted(material.length_mm, material, "its length")
            sheet *= _wanted(material.width_mm, material, "its width")
            return _area_needed(part, material) * 10**6 / sheet
        case Kind.TIMBER:
            return _timber(part, material)
        case Kind.RESIN:
            spread = _wanted(material.areal_weight, material, "its weight for each m²")
            return _liquid_from_kg(_area_needed(part, material) * spread / 1000, material)
        case Kind.CLOTH:
            width = _wanted(material.width_mm, material, "the width of the roll")
            return _area_needed(part, material) * 1000 / width
        case Kind.COATING:
            cover = _wanted(material.coverage, material, "the area that a litre covers")
            return _liquid_from_litres(_area_needed(part, material) / cover, material)
        case Kind.FASTENER | Kind.EQUIPMENT:
            return Fraction(part.count)


def _timber(part: Part, material: Material) -> Fraction:
    run = _wanted(part.length_mm, part, "its length") * part.count * part.layers
    if material.unit is StockUnit.METRE:
        return run / 1000
    return run / _wanted(material.length_mm, material, "the length it is sold in")


def _liquid_from_kg(mass: Fraction, material: Material) -> Fraction:
    if material.unit is not StockUnit.LITRE:
        return mass
    return mass * 1000 / _wanted(material.density, material, "its density")


def _liquid_from_litres(litres: Fraction, material: Material) -> Fraction:
    if material.unit is not StockUnit.KG:
        return litres
    return litres * _wanted(material.density, material, "its density") / 1000


def _wanted(value: Decimal | None, owner: Part | Material, what: str) -> Fraction:
    if value is None or value == 0:
        raise MissingSize(owner.key, f"{owner.title}: {what} is needed to reckon with; add it.")
    return Fraction(value)


def _length_m(part: Part, material: Material) -> Fraction | None:
    if part.length_mm is None or material.kind is not Kind.TIMBER:
        return None
    return Fraction(part.length_mm) * part.count * part.layers / 1000


_CUT = frozenset({Kind.SHEET, Kind.TIMBER})
_BY_AREA = frozenset({Kind.SHEET, Kind.RESIN, Kind.CLOTH, Kind.COATING})


def _area_m2(part: Part, material: Material) -> Fraction | None:
    if part.length_mm is None or part.width_mm is None or material.kind not in _BY_AREA:
        return None
    one = Fraction(part.length_mm) * Fraction(part.width_mm) / 10**6
    return one * part.count * part.layers


def _area_needed(part: Part, material: Material) -> Fraction:
    area = _area_m2(part, material)
    if area is None or area == 0:
        raise MissingSize(
            part.key, f"{part.title}: its length and width are needed, or an amount; add them."
        )
    return area


def _board_feet(part: Part, material: Material, length: Fraction | None) -> Decimal | None:
    thick = material.nominal_thickness_mm or material.thickness_mm
    wide = material.nominal_width_mm or material.width_mm
    if length is None or thick is None or wide is None:
        return None
    return board_feet(thick, wide, to_decimal(length * 1000))


def _mass_kg(
    part: Part, material: Material, net: Fraction, area: Fraction | None
) -> Fraction | None:
    match material.kind:
        case Kind.SHEET | Kind.TIMBER:
            return _solid_kg(part, material, area)
        case Kind.RESIN | Kind.COATING:
            if material.unit is StockUnit.KG:
                return net
            if material.unit is StockUnit.LITRE and material.density:
                return net * Fraction(material.density) / 1000
        case Kind.CLOTH:
            if material.areal_weight is None:
                return None
            if area is None and material.width_mm is not None:
                area = net * Fraction(material.width_mm) / 1000
            return None if area is None else area * Fraction(material.areal_weight) / 1000
        case Kind.FASTENER | Kind.EQUIPMENT:
            if material.unit is StockUnit.KG:
                return net
            return None if material.each_kg is None else net * Fraction(material.each_kg)
    return None


def _solid_kg(part: Part, material: Material, area: Fraction | None) -> Fraction | None:
    thick = material.thickness_mm if part.thickness_mm is None else part.thickness_mm
    if material.kind is Kind.SHEET:
        thick = material.thickness_mm or part.thickness_mm
    else:
        wide = material.width_mm if part.width_mm is None else part.width_mm
        if part.length_mm is None or wide is None:
            return None
        run = Fraction(part.length_mm) * part.count * part.layers
        area = run * Fraction(wide) / 10**6
    if area is None or thick is None or material.density is None:
        return None
    return area * Fraction(thick) / 1000 * Fraction(material.density)
