"""What was bought for the invented build, the oldest first, and what the shed costs."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.demo.shelf import (
    ASH,
    BOLT,
    CD,
    FAIR,
    FIR,
    FIR95,
    GLASS,
    HT,
    OAK,
    OM,
    P6,
    P9,
    P12,
    P18,
    PEEL,
    RC,
    RESIN,
    S25,
    S40,
    SHED,
    SPRUCE,
    TAPE,
    THICK,
    TL,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DemoPurchase:
    """`lines` are (material or other thing, how many, net for one or None for the price then)."""

    days_ago: int
    supplier: str
    number: str
    lines: tuple[tuple[str, float, float | None], ...]
    freight: float = 0
    money: str = "in-boat"
    paid: bool = True
    arrived: bool = True
    currency: str = "EUR"
    rate: float = 1


def b(days_ago, supplier, number, *lines, **more) -> DemoPurchase:
    return DemoPurchase(
        days_ago, supplier, number, tuple((*row, None)[:3] for row in lines), **more
    )


PURCHASES: list[DemoPurchase] = [
    b(428, TL, "TL-0118", ("Band saw, second hand", 1, 420), money="tools"),
    b(427, TL, "TL-0119", ("Clamps, sixty", 60, 7.8), ("Extractor, hoses", 1, 310), money="tools"),
    b(424, HT, "HT-2001", (SHED, 6), (P6, 2), freight=48),
    b(421, RC, "RC-0311", (RESIN, 12), (THICK, 2), freight=14.5),
    b(420, CD, "CD-5002", (S25, 200), ("Barrier cream, gloves, masks", 1, 86), freight=9),
    b(418, TL, "TL-0131", ("Heater, oil filled, two", 2, 89), money="shed"),
    b(411, HT, "HT-2014", (P18, 1), (P12, 4), (P9, 2), freight=62),
    b(399, HT, "HT-2022", (FIR, 10), freight=30),
    b(392, RC, "RC-0330", (RESIN, 6), freight=9.9),
    b(381, HT, "HT-2031", (FIR95, 6), freight=34),
    b(380, CD, "CD-5040", (S40, 200), freight=6),
    b(371, TL, "TL-0160", ("Japanese saw and blades", 1, 64), ("Sharpening stones", 1, 72),
      money="tools"),
    b(356, HT, "HT-2047", (P12, 3), (P9, 1), freight=62),
    b(341, RC, "RC-0352", (RESIN, 6), ("Mixing pots and sticks", 1, 38), freight=9.9),
    b(330, CD, "CD-5077", ("Varnish for the patterns", 1, 24), (S40, 100), freight=6),
    b(322, HT, "HT-2066", (ASH, 12), freight=28),
    b(301, HT, "HT-2078", (OAK, 6), freight=30),
    b(288, RC, "RC-0377", (RESIN, 6), (PEEL, 10), freight=12.5),
    b(266, CD, "CD-5121", (BOLT, 14), currency="GBP", rate=1.16, freight=11),
    b(259, TL, "TL-0202", ("Moisture meter", 1, 58), ("Thermometer that keeps a record", 1, 44),
      money="tools"),
    b(243, HT, "HT-2101", (FIR, 12), freight=30),
    b(231, RC, "RC-0401", (TAPE, 50), (THICK, 1), freight=8.8),
    b(221, HT, "HT-2119", (SPRUCE, 10), freight=36),
    b(214, RC, "RC-0415", (RESIN, 6), freight=9.9),
    b(203, TL, "TL-0231", ("Ratchet straps, ten", 10, 9.5), money="tools"),
    b(190, RC, "RC-0428", (RESIN, 6), freight=9.9),
    b(176, CD, "CD-5180", (S40, 100), (S25, 200), freight=7),
    b(160, HT, "HT-2150", (FIR, 6), freight=30),
    b(149, RC, "RC-0447", (FAIR, 1), (RESIN, 6), freight=12),
    b(138, RC, "RC-0455", (GLASS, 20), freight=11),
    b(121, HT, "HT-2171", (P9, 6), (P6, 4), freight=70),
    b(104, CD, "CD-5222", (S25, 600), freight=7),
    b(97, TL, "TL-0266", ("Sanding discs", 100), ("Mask filters", 4, 12.5), money="used-up"),
    b(88, HT, "HT-2188", (FIR, 4), freight=30),
    b(74, TL, "TL-0271", ("Second dehumidifier", 1, 189), money="shed"),
    b(59, HT, "HT-2203", (P12, 2), freight=62),
    b(41, RC, "RC-0488", (RESIN, 12), freight=14.5),
    b(24, CD, "CD-5260", (S40, 100), freight=6),
    b(12, HT, "HT-2220", (P9, 6), freight=70, paid=True, arrived=False),
    b(5, RC, "RC-0499", (TAPE, 100), (GLASS, 20), freight=16, paid=False, arrived=False),
    b(3, OM, "OM-77", ("Lead ballast", 1), freight=120, paid=False, arrived=False),
]  # fmt: skip

STANDING = [
    # name, a month, first day ago
    ("Rent of the shed", 185, 430),
    ("Power and heat", 42, 430),
    ("Insurance of boat and tools", 19, 400),
]

# Parts of a stock that was counted: material, counted, days ago.
COUNTS = [(RESIN, 14.2, 38), (S40, 180, 20)]
