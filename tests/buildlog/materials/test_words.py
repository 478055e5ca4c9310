from decimal import Decimal

import pytest

from buildlog.materials.models import Material, Part
from buildlog.materials.words import count_words, form_words, pack_words, size_words
from tasks.models import Build

METRIC = Build(name="Metric")
IMPERIAL = Build(name="Imperial", length_system="imperial", denominator=16)


def material(kind="sheet", **more) -> Material:
    return Material(name="Stuff", kind=kind, **({"unit": "sheet"} | more))


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (material(length_mm=2500, width_mm=1220, thickness_mm=9), "2500 × 1220 × 9 mm"),
        (material("timber", length_mm=4000, width_mm=45, thickness_mm=30), "4000 mm of 45 × 30 mm"),
        (material("timber", length_mm=4000), "4000 mm"),
        (material("cloth", width_mm=1250, areal_weight=200), "1250 mm wide, 200 g/m²"),
        (material("resin", areal_weight=260), "260 g/m² a coat"),
        (material("coating", coverage=8), "covers 8 m² a litre"),
        (material("fastener"), ""),
    ],
)
def test_forms_in_words(made, words):
    assert form_words(made, METRIC) == words


def test_imperial_forms_carry_their_fractions():
    sheet = material(length_mm=Decimal("2438.4"), width_mm=Decimal("1219.2"),
                     thickness_mm=Decimal("9.525"))  # fmt: skip
    assert form_words(sheet, IMPERIAL) == "8′ × 4′ × ⅜″"


def test_sizes_that_are_rounded_say_so_once():
    part = Part(name="Side", material=material(), length_mm=1250, width_mm=610)
    assert size_words(part, IMPERIAL) == "≈ 4′ 1³⁄₁₆″ × 2′"


def test_packs_are_named_where_it_is_sold_in_them():
    assert pack_words(material("resin", unit="kg", pack=Decimal(6))) == "packs of 6 kg"
    assert pack_words(material()) == ""


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"length_mm": 1250, "width_mm": 610}, "1250 × 610 mm"),
        ({"length_mm": 1250, "width_mm": 610, "layers": 2}, "1250 × 610 mm, 2 layers"),
        ({"quantity": Decimal("2.4"), "count": 3}, "2.4 sheets each"),
        ({}, ""),
        ({"layers": 3}, "3 layers"),
    ],
)
def test_sizes_in_words(more, words):
    assert size_words(Part(name="Side", material=material(), **more), METRIC) == words


def test_layers_of_a_coating_are_coats():
    part = Part(name="Hull", material=material("coating", unit="litre"), layers=2)
    assert size_words(part, METRIC) == "2 coats"


def test_a_mirrored_pair_counts_two():
    assert count_words(Part(count=2, mirrored=True)) == "1 pair"
    assert count_words(Part(count=6, mirrored=True)) == "3 pairs"
    assert count_words(Part(count=6)) == "6"
