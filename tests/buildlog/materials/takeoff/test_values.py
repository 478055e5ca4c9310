"""A part or material that cannot be is refused when it is made."""

from __future__ import annotations

from decimal import Decimal

import pytest

from buildlog.materials.takeoff import Kind, Material, Part, StockUnit, WrongValue


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"count": 0}, "at least 1"),
        ({"count": -2}, "at least 1"),
        ({"layers": 0}, "at least 1"),
        ({"length_mm": Decimal(-1)}, "length is -1"),
        ({"quantity": Decimal("NaN")}, "amount|quantity"),
        ({"allowance": Decimal("-0.1")}, "cannot be below nought"),
        ({"count": 3, "mirrored": True}, "a mirrored pair counts two"),
    ],
)
def test_a_part_that_cannot_be(fields, says):
    with pytest.raises(WrongValue, match=says) as raised:
        Part(key=7, material="ply", name="Knee", **fields)
    assert "Knee" in str(raised.value)


def test_a_material_that_cannot_be():
    with pytest.raises(WrongValue, match="Fir: pack is -1"):
        Material(key=1, name="Fir", kind=Kind.TIMBER, unit=StockUnit.LENGTH, pack=Decimal(-1))
