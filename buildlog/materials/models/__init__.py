from buildlog.materials.models.catalogue import CostKind, Material, Price, Supplier
from buildlog.materials.models.fields import ZERO
from buildlog.materials.models.part import Part
from buildlog.materials.models.purchase import Purchase, PurchaseLine
from buildlog.materials.models.stock import StockMove

__all__ = [
    "ZERO",
    "CostKind",
    "Material",
    "Part",
    "Price",
    "Purchase",
    "PurchaseLine",
    "StockMove",
    "Supplier",
]
