"""Materials, parts and pieces: the values that a takeoff starts from.

All lengths are millimetres, areas m², masses kg, volumes of liquids litres, weights of cloth and
spreads of resin g/m², densities kg/m³, all ``Decimal``. A value that cannot be is refused when
it is made.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from .errors import WrongValue

__all__ = ["Grain", "Kind", "Material", "Part", "StockUnit"]


class Kind(StrEnum):
    """What sort of material: it decides how the need is reckoned."""

    SHEET = "sheet"
    TIMBER = "timber"
    RESIN = "resin"
    CLOTH = "cloth"
    FASTENER = "fastener"
    COATING = "coating"
    EQUIPMENT = "equipment"


class StockUnit(StrEnum):
    """What stock and purchases are counted in."""

    SHEET = "sheet"
    LENGTH = "length"
    KG = "kg"
    LITRE = "litre"
    METRE = "m"
    EACH = "each"


class Grain(StrEnum):
    """How a part lies on the sheet: its length along or across the face grain, or any way.

    The face grain runs along the sheet's length.
    """

    ANY = "any"
    ALONG = "along"
    ACROSS = "across"


def _refuse_negative(title: str, **amounts: Decimal | None) -> None:
    for name, value in amounts.items():
        if value is not None and (not value.is_finite() or value < 0):
            label = name.removesuffix("_mm").replace("_", " ")
            raise WrongValue(title, f"{title}: {label} is {value}; it cannot be below nought.")


def name_of(key: Hashable) -> str:
    """How a part or material is called in a message when it has no name."""
    return str(key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A material in the form it is sold in.

    Attributes
    ----------
    key
        The caller's own key; results carry it back.
    kind, unit
        How need is reckoned, and what stock, need and purchases are counted in.
    length_mm, width_mm, thickness_mm
        Sheet size; timber length and dressed section; roll width of cloth (``width_mm``).
    nominal_width_mm, nominal_thickness_mm
        Timber: the section it is priced by, where it is not the dressed one.
    density
        kg/m³, for weight. None: the weight is not known.
    areal_weight
        g/m²: of the cloth itself; for resin, what one coat or ply takes up, mixed.
    coverage
        m² that one litre covers in one coat.
    each_kg
        Mass of one fastener or piece of equipment.
    pack
        Units in the smallest lot that is sold (200 screws, 2.5 litres); 1 where they are sold
        singly. Nought: any amount is sold.
    allowance
        For waste, as a share of the net need: 0.10 is ten per cent.
    """

    key: Hashable
    kind: Kind
    unit: StockUnit
    name: str = ""
    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    thickness_mm: Decimal | None = None
    nominal_width_mm: Decimal | None = None
    nominal_thickness_mm: Decimal | None = None
    density: Decimal | None = None
    areal_weight: Decimal | None = None
    coverage: Decimal | None = None
    each_kg: Decimal | None = None
    pack: Decimal = Decimal(1)
    allowance: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        _refuse_negative(
            self.title, length_mm=self.length_mm, width_mm=self.width_mm,
            thickness_mm=self.thickness_mm, nominal_width_mm=self.nominal_width_mm,
            nominal_thickness_mm=self.nominal_thickness_mm, density=self.density,
            areal_weight=self.areal_weight, coverage=self.coverage, each_kg=self.each_kg,
            pack=self.pack, allowance=self.allowance,
        )  # fmt: skip

    @property
    def title(self) -> str:
        """The name, or the key where there is none."""
        return self.name or name_of(self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Pieces of one material that one task needs.

    Attributes
    ----------
    key, task, material
        The caller's keys. ``task`` None: a part that no task has claimed yet; it comes last.
    count
        Pieces in all. A mirrored pair counts two, so a mirrored count is even.
    length_mm, width_mm, thickness_mm
        Of one piece, the thickness of one layer of it. A sheet's thickness is its material's;
        timber without a width or thickness has the material's section.
    layers
        Sheets laid up in one piece, plies of cloth, or coats.
    quantity
        The amount for each piece in the material's unit, where it has no shape (screws, mixed
        resin, an engine). Stands before the geometry.
    grain
        How it lies on the sheet.
    scarf_ratio
        A piece longer than the stock may be joined with scarfs of this slope (8 for 8:1). None:
        it must come out of one sheet or length.
    allowance
        Its own, in place of the material's.
    """

    key: Hashable
    material: Hashable
    task: Hashable | None = None
    name: str = ""
    count: int = 1
    mirrored: bool = False
    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    thickness_mm: Decimal | None = None
    layers: int = 1
    quantity: Decimal | None = None
    grain: Grain = Grain.ANY
    scarf_ratio: Decimal | None = None
    allowance: Decimal | None = None

    def __post_init__(self) -> None:
        _refuse_negative(
            self.title, length_mm=self.length_mm, width_mm=self.width_mm,
            thickness_mm=self.thickness_mm, quantity=self.quantity, scarf_ratio=self.scarf_ratio,
            allowance=self.allowance,
        )  # fmt: skip
        if self.count < 1 or self.layers < 1:
            raise WrongValue(self.key, f"{self.title}: count and layers are at least 1.")
        if self.mirrored and self.count % 2:
            raise WrongValue(
                self.key,
                f"{self.title}: a mirrored pair counts two, so its count cannot be {self.count}.",
            )

    @property
    def title(self) -> str:
        """The name, or the key where there is none."""
        return self.name or name_of(self.key)
