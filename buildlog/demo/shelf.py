"""Suppliers, materials and their prices, and the parts of the invented build."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DemoMaterial:
    """Sizes in mm, density kg/m³. `prices` are (days ago, net)."""

    name: str
    kind: str
    unit: str
    supplier: str
    prices: tuple[tuple[int, str], ...]
    size: tuple[float | None, float | None, float | None] = (None, None, None)
    density: float | None = None
    areal: float | None = None
    coverage: float | None = None
    pack: float = 1
    waste: float = 10
    money: str = "in-boat"


SUPPLIERS = [
    # name, days to deliver, freight %, tax %
    ("Harbour Timber", 10, 6, 21),
    ("Resin Counter", 4, 8, 21),
    ("Chandler & Daughter", 7, 5, 21),
    ("Tool Loft", 5, 4, 21),
    ("Old Yard Metals", 14, 3, 21),
]

HT, RC, CD, TL, OM = (name for name, *_ in SUPPLIERS)


def m(name, kind, unit, supplier, prices, **more) -> DemoMaterial:
    return DemoMaterial(name, kind, unit, supplier, tuple(prices), **more)


MATERIALS: list[DemoMaterial] = [
    m("Okoume marine ply 6 mm", "sheet", "sheet", HT, [(430, "64.00"), (120, "68.00")],
      size=(2500, 1220, 6), density=450, waste=15),
    m("Okoume marine ply 9 mm", "sheet", "sheet", HT, [(430, "89.00"), (120, "94.50")],
      size=(2500, 1220, 9), density=450, waste=15),
    m("Okoume marine ply 12 mm", "sheet", "sheet", HT, [(430, "112.00"), (60, "121.00")],
      size=(2500, 1220, 12), density=450, waste=15),
    m("Okoume marine ply 18 mm", "sheet", "sheet", HT, [(410, "158.00")],
      size=(2500, 1220, 18), density=450, waste=15),
    m("Douglas-fir 30 x 45", "timber", "length", HT, [(400, "16.20"), (90, "17.40")],
      size=(4000, 45, 30), density=538, waste=12),
    m("Douglas-fir 45 x 95", "timber", "length", HT, [(380, "31.00")],
      size=(4800, 95, 45), density=538, waste=12),
    m("Spruce 22 x 120", "timber", "length", HT, [(200, "28.50")],
      size=(4800, 120, 22), density=403, waste=15),
    m("White oak 30 x 120", "timber", "length", HT, [(300, "46.00")],
      size=(2400, 120, 30), density=762, waste=18),
    m("White ash 20 x 40", "timber", "length", HT, [(250, "16.80")],
      size=(3000, 40, 20), density=672, waste=12),
    m("Construction fir 45 x 195", "timber", "length", HT, [(425, "21.00")],
      size=(4800, 195, 45), density=480, waste=5, money="shed"),
    m("Epoxy resin and hardener", "resin", "kg", RC, [(425, "20.40"), (40, "21.90")],
      areal=260, density=1100, pack=6, waste=15),
    m("Thickener, colloidal", "resin", "kg", RC, [(420, "18.50")], pack=1, waste=10),
    m("Thickener, fairing", "resin", "kg", RC, [(150, "22.00")], pack=1, waste=10),
    m("Woven glass 200 g/m2", "cloth", "m", RC, [(140, "7.40")],
      size=(None, 1250, None), areal=200, pack=1, waste=12),
    m("Biaxial tape 75 mm", "cloth", "m", RC, [(200, "2.10")],
      size=(None, 75, None), areal=450, pack=25, waste=8),
    m("Peel ply", "cloth", "m", RC, [(200, "4.20")], size=(None, 1000, None), pack=5, waste=10,
      money="used-up"),
    m("Silicon bronze screw 4 x 25", "fastener", "each", CD, [(420, "0.36"), (100, "0.38")],
      pack=200, waste=5),
    m("Silicon bronze screw 5 x 40", "fastener", "each", CD, [(380, "0.61")], pack=100, waste=5),
    m("Bronze bolt M10 x 120", "fastener", "each", CD, [(260, "8.90")], pack=1, waste=0),
    m("Keel bolt M20", "fastener", "each", OM, [(180, "74.00")], pack=1, waste=0),
    m("Primer, epoxy", "coating", "litre", CD, [(90, "26.00")], coverage=8, density=1300, pack=2.5,
      waste=10),
    m("Topcoat", "coating", "litre", CD, [(90, "39.50")], coverage=10, density=1200, pack=2.5,
      waste=10),
    m("Varnish", "coating", "litre", CD, [(390, "31.00")], coverage=12, density=950, pack=1,
      waste=10),
    m("Antifouling", "coating", "litre", CD, [(60, "44.00")], coverage=9, density=1600, pack=2.5,
      waste=5),
    m("Sanding discs", "fastener", "each", TL, [(300, "0.55")], pack=50, waste=10, money="used-up"),
    m("Lead ballast", "equipment", "each", OM, [(180, "1480.00")], waste=0),
    m("Diesel engine and shaft", "equipment", "each", CD, [(75, "4950.00")], waste=0),
    m("Electrics and instruments", "equipment", "each", CD, [(75, "1350.00")], waste=0),
    m("Windows and hatches", "equipment", "each", CD, [(75, "980.00")], waste=0),
    m("Standing rigging", "equipment", "each", CD, [(75, "1240.00")], waste=0),
    m("Sails", "equipment", "each", CD, [(75, "2650.00")], waste=0),
]  # fmt: skip

P6, P9, P12, P18 = (f"Okoume marine ply {mm} mm" for mm in (6, 9, 12, 18))
FIR, FIR95, SPRUCE = "Douglas-fir 30 x 45", "Douglas-fir 45 x 95", "Spruce 22 x 120"
OAK, ASH, SHED = "White oak 30 x 120", "White ash 20 x 40", "Construction fir 45 x 195"
RESIN, THICK, FAIR = "Epoxy resin and hardener", "Thickener, colloidal", "Thickener, fairing"
GLASS, TAPE, PEEL = "Woven glass 200 g/m2", "Biaxial tape 75 mm", "Peel ply"
S25, S40, BOLT = (
    "Silicon bronze screw 4 x 25",
    "Silicon bronze screw 5 x 40",
    "Bronze bolt M10 x 120",
)


@dataclass(frozen=True, slots=True)
class DemoPart:
    """A part: `size` is length and width in mm, or `amount` where it has no shape."""

    task: str
    name: str
    material: str
    count: int = 1
    size: tuple[float, float | None] | None = None
    amount: float | None = None
    mirrored: bool = False
    layers: int = 1
    scarf: float | None = None
    grain: str = "any"


def shape(task, name, material, count, length, width=None, **more) -> DemoPart:
    return DemoPart(task, name, material, count, (length, width), **more)


def some(task, material, amount, name="") -> DemoPart:
    return DemoPart(task, name or material, material, 1, None, amount)


FRAME_SIZES = [
    (980, 560), (1240, 640), (1560, 700), (1780, 740), (1900, 760),
    (1880, 760), (1760, 740), (1560, 700), (1300, 640),
]  # fmt: skip


def _frames() -> list[DemoPart]:
    parts = []
    for number, (length, width) in enumerate(FRAME_SIZES, 1):
        task = "F1" if number <= 3 else "F2" if number <= 6 else "F3"
        parts.append(shape(task, f"Frame {number}, half", P12, 2, length, width / 2, mirrored=True))
        glue = "F4" if number <= 5 else "F5"
        parts.append(shape(glue, f"Floor {number}", P12, 1, length * 0.6, 180))
        parts.append(
            shape(glue, f"Frame {number} doubler", P9, 2, length * 0.4, 120, mirrored=True)
        )
    return parts


PARTS: list[DemoPart] = [
    shape("L3", "Pattern sheets", P6, 2, 2400, 600),
    shape("G1", "Strongback girder", SHED, 2, 4700),
    shape("G1", "Strongback leg", SHED, 8, 700),
    shape("G1", "Cross spall", SHED, 9, 900),
    *_frames(),
    shape("F3", "Transom", P18, 1, 1100, 620, grain="across"),
    some("F4", RESIN, 2.4), some("F4", THICK, 0.3), some("F5", RESIN, 2.1),
    some("F7", RESIN, 1.2, "Resin for end grain"),
    some("F8", S40, 90),
    shape("B1", "Stem laminate", ASH, 11, 1500),
    some("B1", RESIN, 1.1),
    shape("B3", "Forward bulkhead", P12, 1, 1350, 900),
    shape("B3", "Main bulkhead", P12, 1, 1900, 1180),
    shape("B4", "Bulkhead cleat", FIR, 12, 620), shape("B4", "Bulkhead upright", FIR, 4, 1300),
    some("B4", RESIN, 0.9), some("B5", S40, 60),
    shape("B6", "Deck beam laminate", SPRUCE, 18, 1900), some("B6", RESIN, 2.2),
    some("B7", TAPE, 24), some("B7", RESIN, 2.6), some("B7", THICK, 0.6),
    shape("K1", "Keelson layer", FIR95, 3, 6800, scarf=12), some("K1", RESIN, 2.8),
    shape("K3", "Oak floor", OAK, 6, 760), some("K3", BOLT, 6),
    shape("S1", "Bilge stiffener stock", FIR, 2, 6600, scarf=12, mirrored=True),
    shape("S1", "Chine stiffener stock", FIR, 4, 7000, scarf=12, mirrored=True),
    shape("S1", "Sheer clamp stock", FIR, 2, 7400, scarf=12, mirrored=True),
    some("S3", RESIN, 1.3), some("S3", S40, 70), some("S4", RESIN, 0.9), some("S4", S40, 40),
    some("S6", RESIN, 0.9), some("S6", S40, 40), some("S6", THICK, 0.15),
    some("S8", RESIN, 2.4), some("S8", S40, 120), some("S8", THICK, 0.4),
    some("P1", RESIN, 1.0),
    shape("P2", "Bottom panel", P9, 2, 4900, 1000, mirrored=True, scarf=8, grain="along"),
    shape("P2", "Bottom panel, aft", P9, 2, 2300, 980, mirrored=True, grain="along"),
    some("P3", RESIN, 2.2), some("P3", S25, 260), some("P4", RESIN, 2.2), some("P4", S25, 260),
    shape("P5", "Bilge panel", P9, 2, 4850, 560, mirrored=True, scarf=8, grain="along"),
    shape("P5", "Bilge panel, aft", P9, 2, 2400, 540, mirrored=True, grain="along"),
    shape("P5", "Topside", P6, 4, 4900, 600, mirrored=True, layers=1, scarf=8, grain="along"),
    shape("P5", "Topside, aft", P6, 4, 2450, 620, mirrored=True, grain="along"),
    some("P6", RESIN, 2.6), some("P6", S25, 300), some("P7", RESIN, 3.0), some("P7", S25, 340),
    some("P8", FAIR, 1.5), some("P8", RESIN, 1.8),
    shape("P9", "Skeg layer", OAK, 6, 1800), some("P9", RESIN, 1.6), some("P9", BOLT, 8),
    some("H1", TAPE, 60), some("H1", RESIN, 4.0),
    shape("H2", "Glass, starboard", GLASS, 1, 7600, 1850), some("H2", RESIN, 6.5),
    shape("H3", "Glass, port", GLASS, 1, 7600, 1850), some("H3", RESIN, 6.5),
    some("H2", PEEL, 10), some("H3", PEEL, 10),
    some("H4", FAIR, 5), some("H4", RESIN, 6), some("H4", "Sanding discs", 220),
    shape("H5", "Hull, primed", "Primer, epoxy", 1, 7600, 3700, layers=2),
    shape("T1", "Cradle bearer", SHED, 6, 2300),
    some("I1", RESIN, 9, "Resin to seal the inside"),
    some("I2", TAPE, 48), some("I2", RESIN, 5.5), some("I2", THICK, 2),
    shape("I3", "Sole bearer", FIR, 10, 900), shape("I3", "Sole panel", P12, 3, 1600, 520),
    shape("I4", "Berth front", P9, 4, 1950, 420, mirrored=True),
    shape("I4", "Berth top", P9, 4, 1950, 640, mirrored=True), some("I4", RESIN, 2),
    shape("I5", "Galley front", P9, 1, 1300, 860), shape("I5", "Galley side", P9, 2, 860, 560),
    shape("I6", "Chart table", P12, 1, 900, 700), shape("I6", "Locker front", P9, 6, 600, 420),
    shape("I7", "Inside, painted", "Topcoat", 1, 7000, 4200, layers=2),
    shape("C1", "Cockpit sole", P12, 1, 1700, 700),
    shape("C2", "Cockpit side", P12, 2, 1700, 420, mirrored=True), some("C2", RESIN, 1.8),
    shape("C3", "Seat top", P12, 2, 1700, 460, mirrored=True),
    shape("C3", "Coaming", P9, 2, 2100, 300, mirrored=True), some("C3", RESIN, 1.6),
    shape("D1", "Carlin", FIR, 2, 4200, scarf=12, mirrored=True), some("D1", RESIN, 1.4),
    shape("D2", "Deck, first layer", P6, 6, 2400, 900),
    shape("D2", "Deck, second layer", P6, 6, 2400, 900),
    some("D3", RESIN, 2), some("D4", RESIN, 3.5), some("D4", S25, 320), some("D5", RESIN, 4),
    some("D5", S25, 200),
    shape("D6", "Glass on deck", GLASS, 1, 7400, 2300), some("D6", RESIN, 7),
    shape("D7", "Cabin side", P12, 2, 2400, 480, mirrored=True),
    shape("D7", "Cabin top layer", P6, 4, 2300, 1100), some("D7", RESIN, 4.5),
    shape("D8", "Hatch", P12, 3, 620, 620), shape("D8", "Hatch rim", ASH, 12, 620),
    shape("D9", "Rubbing strake", OAK, 2, 7500, mirrored=True, scarf=12),
    shape("D9", "Toe rail", OAK, 2, 7000, mirrored=True, scarf=12), some("D9", S40, 140),
    DemoPart("W1", "Windows and hatches", "Windows and hatches"),
    shape("M1", "Mast stave", SPRUCE, 8, 8600, scarf=12), some("M1", RESIN, 3.2),
    shape("M3", "Boom stave", SPRUCE, 4, 3900), shape("M3", "Gaff stave", SPRUCE, 4, 3300),
    shape("M4", "Spars, varnished", "Varnish", 1, 8600, 700, layers=6),
    DemoPart("M5", "Standing rigging", "Standing rigging"),
    DemoPart("M5", "Sails", "Sails"),
    shape("R1", "Rudder blade", P12, 3, 1500, 520), shape("R1", "Tiller laminate", ASH, 6, 1300),
    shape("E1", "Engine bed", OAK, 2, 1200, mirrored=True), some("E1", RESIN, 1.2),
    DemoPart("E2", "Diesel engine and shaft", "Diesel engine and shaft"),
    DemoPart("E2", "Electrics and instruments", "Electrics and instruments"),
    shape("Q1", "Deck and cabin, primed", "Primer, epoxy", 1, 7400, 2900, layers=2),
    some("Q1", FAIR, 3),
    shape("Q2", "Topsides and deck, painted", "Topcoat", 1, 7600, 4300, layers=3),
    shape("Q3", "Bottom, antifouling", "Antifouling", 1, 7600, 2300, layers=2),
    DemoPart("Z1", "Lead ballast", "Lead ballast"), some("Z1", "Keel bolt M20", 8),
]  # fmt: skip
