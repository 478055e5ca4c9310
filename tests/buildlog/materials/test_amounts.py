from decimal import Decimal

import pytest

from buildlog.materials.amounts import read_amount
from buildlog.materials.models import Material
from buildlog.units import UnitError


def material(unit: str, pack: str = "1") -> Material:
    return Material(name="Stuff", unit=unit, pack=Decimal(pack))


@pytest.mark.parametrize(
    ("text", "unit", "amount"),
    [
        ("3", "sheet", "3"), ("3 sheets", "sheet", "3"), ("2 pieces", "length", "2"),
        ("500 g", "kg", "0.5"), ("2,5", "litre", "2.5"), ("250 ml", "litre", "0.25"),
        ("12 ft", "m", "3.6576"), ("1/2", "kg", "0.5"), ("60 pcs", "each", "60"),
    ],
)  # fmt: skip
def test_it_reads_amounts_in_what_the_material_is_counted_in(text, unit, amount):
    assert read_amount(text, material(unit)) == Decimal(amount)


def test_packs_are_as_many_as_it_is_sold_in():
    assert read_amount("2 packs", material("each", "200")) == 400


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("some", "kg"), ("3 kg", "sheet"), ("3 m", "kg"), ("-2", "kg"), ("3 each", "kg"),
        ("1,250", "kg"),  # twelve hundred and fifty, or one and a quarter
        ("9999999999", "kg"),
    ],
)  # fmt: skip
def test_it_refuses_what_is_no_amount_of_it(text, unit):
    with pytest.raises(UnitError):
        read_amount(text, material(unit))


def test_what_is_counted_otherwise_is_named():
    with pytest.raises(UnitError, match=r"“3 m” is no amount of Stuff: that is counted in L\."):
        read_amount("3 m", material("litre"))
