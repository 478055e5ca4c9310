"""Net need, gross need and weight of one part, by kind of material."""

from __future__ import annotations

from decimal import Decimal as D

import pytest

from buildlog.materials.takeoff import (
    Kind,
    Material,
    MissingSize,
    Part,
    StockUnit,
    need_of,
)

PLY = Material(
    key="ply", kind=Kind.SHEET, unit=StockUnit.SHEET, density=D(450),
    length_mm=D(2500), width_mm=D(1220), thickness_mm=D(9), allowance=D("0.15"),
)  # fmt: skip
FIR = Material(
    key="fir", kind=Kind.TIMBER, unit=StockUnit.LENGTH, density=D(538),
    length_mm=D(4000), width_mm=D(50), thickness_mm=D(25), allowance=D("0.10"),
)  # fmt: skip
EPOXY = Material(key="epoxy", kind=Kind.RESIN, unit=StockUnit.KG, areal_weight=D(250))
GLASS = Material(
    key="glass", kind=Kind.CLOTH, unit=StockUnit.METRE, width_mm=D(1250), areal_weight=D(200)
)
SCREW = Material(key="screw", kind=Kind.FASTENER, unit=StockUnit.EACH, each_kg=D("0.004"))
PAINT = Material(
    key="paint", kind=Kind.COATING, unit=StockUnit.LITRE, coverage=D(10), density=D(1300)
)
ENGINE = Material(key="engine", kind=Kind.EQUIPMENT, unit=StockUnit.EACH, each_kg=D(110))


def part(material, **fields):
    return Part(key=1, material=material.key, **fields)


@pytest.mark.parametrize(
    ("material", "fields", "net", "mass"),
    [
        # half a sheet: 1250 x 1220; 9 mm at 450 kg/m³ is 4.05 kg/m²
        (PLY, {"length_mm": D(1250), "width_mm": D(1220)}, "0.5", "6.17625"),
        # a pair of two layers is four blanks of an eighth
        (PLY, {"length_mm": D(1250), "width_mm": D(305), "count": 2, "layers": 2,
               "mirrored": True, "thickness_mm": D(18)}, "0.5", "6.17625"),
        # two of 2550 are 5.1 m of 4 m lengths; 5.1 x 0.05 x 0.025 x 538
        (FIR, {"length_mm": D(2550), "count": 2}, "1.275", "3.42975"),
        # ripped to its own section
        (FIR, {"length_mm": D(2000), "width_mm": D(25)}, "0.5", "0.6725"),
        (FIR, {"quantity": D("0.25"), "count": 2}, "0.5", None),
        (EPOXY, {"quantity": D("1.5")}, "1.5", "1.5"),
        # 2 m² x 250 g/m² x 3 coats
        (EPOXY, {"length_mm": D(2000), "width_mm": D(1000), "layers": 3}, "1.5", "1.5"),
        # 5 m² of a 1.25 m roll is 4 m of it, two plies 8
        (GLASS, {"length_mm": D(5000), "width_mm": D(1000), "layers": 2}, "8", "2"),
        (GLASS, {"quantity": D(4)}, "4", "1"),
        (SCREW, {"count": 200}, "200", "0.8"),
        # 20 m² at 10 m²/L, two coats
        (PAINT, {"length_mm": D(5000), "width_mm": D(4000), "layers": 2}, "4", "5.2"),
        (ENGINE, {}, "1", "110"),
    ],
)  # fmt: skip
def test_net_need_and_mass(material, fields, net, mass):
    need = need_of(part(material, **fields), material)
    assert need.net == D(net)
    assert need.mass_kg == (None if mass is None else D(mass))
    assert need.unit is material.unit


def test_the_allowance_is_a_share_of_the_net():
    piece = part(PLY, length_mm=D(1250), width_mm=D(1220))
    assert need_of(piece, PLY).gross == D("0.575")
    own = part(PLY, length_mm=D(1250), width_mm=D(1220), allowance=D(0))
    assert need_of(own, PLY).gross == D("0.5")  # the part's own stands before the material's


def test_liquids_can_be_counted_by_mass_or_volume():
    paint_kg = Material(
        key="p", kind=Kind.COATING, unit=StockUnit.KG, coverage=D(10), density=D(1300)
    )
    assert need_of(part(paint_kg, length_mm=D(5000), width_mm=D(2000)), paint_kg).net == D("1.3")
    resin_l = Material(
        key="r", kind=Kind.RESIN, unit=StockUnit.LITRE, areal_weight=D(1100), density=D(1100)
    )
    assert need_of(part(resin_l, length_mm=D(1000), width_mm=D(1000)), resin_l).net == D(1)


def test_timber_is_priced_by_nominal_and_weighs_by_dressed():
    two_by_six = Material(
        key="2x6", kind=Kind.TIMBER, unit=StockUnit.METRE, density=D(538),
        width_mm=D("139.7"), thickness_mm=D("38.1"),
        nominal_width_mm=D("152.4"), nominal_thickness_mm=D("50.8"),
    )  # fmt: skip
    need = need_of(part(two_by_six, length_mm=D("3657.6")), two_by_six)
    assert need.board_feet == D(12)
    assert need.length_m == need.net == D("3.6576")
    assert need.mass_kg == D("0.1397") * D("0.0381") * D("3.6576") * 538


@pytest.mark.parametrize(
    ("material", "fields", "says"),
    [
        (PLY, {"length_mm": D(100)}, "length and width are needed"),
        (PLY, {"length_mm": D(100), "width_mm": D(0)}, "length and width are needed"),
        (FIR, {}, "its length is needed"),
        (EPOXY, {}, "length and width are needed, or an amount"),
        (Material(key=1, name="Fir", kind=Kind.TIMBER, unit=StockUnit.LENGTH),
         {"length_mm": D(5)}, "Fir: the length it is sold in"),
        (Material(key=1, name="Ply", kind=Kind.SHEET, unit=StockUnit.SHEET),
         {"length_mm": D(5), "width_mm": D(5)}, "Ply: its length is needed"),
        (Material(key=1, name="Glass", kind=Kind.CLOTH, unit=StockUnit.METRE),
         {"length_mm": D(5), "width_mm": D(5)}, "Glass: the width of the roll"),
        (Material(key=1, name="Paint", kind=Kind.COATING, unit=StockUnit.LITRE),
         {"length_mm": D(5), "width_mm": D(5)}, "Paint: the area that a litre covers"),
    ],
)  # fmt: skip
def test_what_is_missing_is_named(material, fields, says):
    with pytest.raises(MissingSize, match=says):
        need_of(part(material, **fields), material)


def test_an_unknown_weight_is_none_not_nought():
    bare = Material(key=1, kind=Kind.SHEET, unit=StockUnit.SHEET, length_mm=D(1), width_mm=D(1))
    assert need_of(part(bare, length_mm=D(1), width_mm=D(1)), bare).mass_kg is None
