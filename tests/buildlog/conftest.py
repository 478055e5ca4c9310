from __future__ import annotations

from decimal import Decimal

import pytest

from buildlog.materials.models import Material, Part, Supplier


@pytest.fixture
def supplier(build) -> Supplier:
    return Supplier.objects.create(
        build=build, name="Harbour Timber", tax_percent=Decimal(20), freight_percent=Decimal(5)
    )


@pytest.fixture
def ply(build, supplier) -> Material:
    """A sheet of 2500 by 1220, 9 mm, with a tenth of waste."""
    return Material.objects.create(
        build=build, name="Ply 9", kind="sheet", unit="sheet", length_mm=2500, width_mm=1220,
        thickness_mm=9, density=450, waste_percent=10, supplier=supplier,
    )  # fmt: skip


@pytest.fixture
def screws(build, supplier) -> Material:
    return Material.objects.create(
        build=build, name="Screws", kind="fastener", unit="each", pack=100, waste_percent=0,
        supplier=supplier,
    )  # fmt: skip


@pytest.fixture
def make_part(build):
    def make(name: str, material: Material, task=None, **more) -> Part:
        return Part.objects.create(build=build, name=name, material=material, task=task, **more)

    return make
