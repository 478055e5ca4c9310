"""Wood against sources outside the project.

Board foot: 144 in³ nominal, definition (NIST Handbook 44; pint). Dressed sizes: US Voluntary
Product Standard PS 20, read in a public table of it. Densities at 12 %: USDA Forest Products
Laboratory, Wood Handbook, ch. 4 (formula from memory), specific gravities from the FIADB table
REF_SPECIES. Sheet masses: volume x 450 kg/m³; weights for each m² from one panel maker's table.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from buildlog.materials.takeoff import (
    Kind,
    Material,
    Part,
    StockUnit,
    board_feet,
    density_at_12_percent,
    dressed_size,
    need_of,
)
from buildlog.units import convert

D = Decimal
INCH = D("25.4")


@pytest.mark.parametrize(
    ("thick", "wide", "feet", "expected"),
    [
        ("2", "6", "12", "12"),
        ("1", "8", "10", "6.6667"),
        ("1.25", "6", "8", "5"),  # five quarter
        ("2", "7.5", "9", "11.25"),
        ("4", "4", "16", "21.3333"),
    ],
)
def test_board_feet(thick, wide, feet, expected):
    found = board_feet(D(thick) * INCH, D(wide) * INCH, D(feet) * 12 * INCH)
    assert abs(found - D(expected)) < D("0.001")


def test_a_dressed_two_by_six_holds_0_6875_of_its_nominal_volume():
    thick, wide = dressed_size(Fraction(2), Fraction(6))
    cubic_inches = thick * wide * 144
    assert cubic_inches == 1188
    assert cubic_inches / (2 * 6 * 144) == Fraction("0.6875")
    assert abs(convert(D(1188), "in³", "m³") - D("0.019468")) < D("0.000001")


THICKNESS = {
    "1": ("3/4", "25/32"), "1 1/4": ("1", "1 1/32"), "1 1/2": ("1 1/4", "1 9/32"),
    "2": ("1 1/2", "1 9/16"), "2 1/2": ("2", "2 1/16"), "3": ("2 1/2", "2 9/16"),
    "3 1/2": ("3", "3 1/16"), "4": ("3 1/2", "3 9/16"),
}  # fmt: skip
WIDTH = {
    "2": ("1 1/2", "1 9/16"), "3": ("2 1/2", "2 9/16"), "4": ("3 1/2", "3 9/16"),
    "5": ("4 1/2", "4 5/8"), "6": ("5 1/2", "5 5/8"), "8": ("7 1/4", "7 1/2"),
    "10": ("9 1/4", "9 1/2"), "12": ("11 1/4", "11 1/2"), "14": ("13 1/4", "13 1/2"),
    "16": ("15 1/4", "15 1/2"),
}  # fmt: skip
BOARDS = {"3/8": "5/16", "1/2": "7/16", "5/8": "9/16", "3/4": "5/8"}


def inches(text: str) -> Fraction:
    return sum(map(Fraction, text.split()), Fraction(0))


@pytest.mark.parametrize("nominal", THICKNESS)
@pytest.mark.parametrize("wide", WIDTH)
def test_ps_20_dressed_sizes(nominal, wide):
    for green in (False, True):
        thick = inches(THICKNESS[nominal][green]), inches(WIDTH[wide][green])
        assert dressed_size(inches(nominal), inches(wide), green=green) == thick


@pytest.mark.parametrize("nominal", BOARDS)
def test_ps_20_thin_boards(nominal):
    assert dressed_size(inches(nominal), Fraction(4))[0] == inches(BOARDS[nominal])


@pytest.mark.parametrize(
    ("gravity", "density"),
    [("0.68", 762), ("0.88", 986), ("0.63", 706), ("0.60", 672), ("0.48", 538), ("0.36", 403),
     ("0.32", 358), ("0.52", 582)],
)  # fmt: skip
def test_density_at_12_percent(gravity, density):
    """White oak, live oak, red oak, ash, Douglas-fir, Sitka spruce, redcedar, larch."""
    assert round(density_at_12_percent(D(gravity))) == density


def sheet(thick: str, length: str, width: str) -> Decimal:
    ply = Material(
        key="ply", kind=Kind.SHEET, unit=StockUnit.SHEET, density=D(450),
        length_mm=D(length), width_mm=D(width), thickness_mm=D(thick),
    )  # fmt: skip
    whole = Part(key=1, material="ply", length_mm=D(length), width_mm=D(width))
    need = need_of(whole, ply)
    assert need.net == 1
    assert need.mass_kg is not None
    return need.mass_kg


@pytest.mark.parametrize(
    ("thick", "length", "width", "kg"),
    [
        ("9", "2500", "1220", "12.3525"),
        ("6", "3100", "1530", "12.806"),
        ("12", "2440", "1220", "16.075"),
    ],
)
def test_sheet_masses(thick, length, width, kg):
    assert abs(sheet(thick, length, width) - D(kg)) < D("0.001")


@pytest.mark.parametrize(
    ("thick", "kg_m2"),
    [("4", "1.8"), ("5", "2.3"), ("6", "2.7"), ("8", "3.6"), ("9", "4.1"), ("10", "4.5"),
     ("12", "5.4"), ("15", "6.8"), ("18", "8.1"), ("20", "9.0")],
)  # fmt: skip
def test_weight_of_okoume_marine_ply(thick, kg_m2):
    """One panel maker's table, within 10 %."""
    assert abs(sheet(thick, "1000", "1000") / D(kg_m2) - 1) < D("0.1")
