"""Takeoff: what the parts need of each material, what stock covers, what must be bought.

Dataclasses in, dataclasses out; no database, clock or locale. ``take_off`` is the door.
"""

from .buying import (
    KERF_MM,
    MaterialNeed,
    Measured,
    Problem,
    Takeoff,
    TaskNeed,
    measure,
    take_off,
)
from .errors import MissingSize, TakeoffError, WrongValue
from .lengthwise import count_lengths
from .need import Need, need_of
from .promise import Promise, promise
from .sheetwise import count_sheets
from .timber import board_feet, density_at_12_percent, dressed_size
from .values import Grain, Kind, Material, Part, StockUnit

__all__ = [
    "KERF_MM",
    "Grain",
    "Kind",
    "Material",
    "MaterialNeed",
    "Measured",
    "MissingSize",
    "Need",
    "Part",
    "Problem",
    "Promise",
    "StockUnit",
    "Takeoff",
    "TakeoffError",
    "TaskNeed",
    "WrongValue",
    "board_feet",
    "count_lengths",
    "count_sheets",
    "density_at_12_percent",
    "dressed_size",
    "measure",
    "need_of",
    "promise",
    "take_off",
]
