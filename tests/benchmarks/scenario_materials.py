"""The materials and the money of a scenario: suppliers, prices, parts, papers and stock."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from buildlog.materials.models import (
    Material,
    Part,
    Price,
    Purchase,
    PurchaseLine,
    StockMove,
    Supplier,
)
from buildlog.money.models import Budget, StandingCost
from tasks.models import Task
from tests.benchmarks.scenario import Scenario
from tests.benchmarks.scenario_plan import DONE_PART

PRICES = 4  # of each material
RECEIPTS_WITHOUT_RATE = 20  # every so manieth

#: What of each kind is sold, and the shape of a part made of it.
FORMS: list[tuple[dict[str, Any], dict[str, Any]]] = [
    (
        {"kind": "sheet", "unit": "sheet", "length_mm": 2500, "width_mm": 1220,
         "thickness_mm": 9, "density": 500},
        {"length_mm": 600, "width_mm": 240},
    ),
    (
        {"kind": "timber", "unit": "length", "length_mm": 4000, "width_mm": 145,
         "thickness_mm": 32, "density": 480},
        {"length_mm": 1400, "width_mm": 45, "thickness_mm": 30},
    ),
    ({"kind": "resin", "unit": "kg", "density": 1100}, {"quantity": Decimal("0.25")}),
    (
        {"kind": "cloth", "unit": "m", "width_mm": 1000, "areal_weight": 200},
        {"length_mm": 800, "width_mm": 300},
    ),
    ({"kind": "fastener", "unit": "each", "pack": 100}, {"quantity": Decimal(12)}),
    ({"kind": "coating", "unit": "litre", "coverage": 11}, {"length_mm": 900, "width_mm": 400}),
    ({"kind": "equipment", "unit": "each"}, {"quantity": Decimal(1)}),
]  # fmt: skip


def fill(scenario: Scenario) -> None:
    _suppliers_and_materials(scenario)
    _parts(scenario)
    _papers(scenario)
    _stock(scenario)
    Budget.objects.create(build=scenario.build, contingency_percent=12)
    scenario.add(
        [
            StandingCost(
                build=scenario.build, name=f"Shed {n}", a_month=90 + n, first=scenario.day(800)
            )
            for n in range(scenario.sizes.standing_costs)
        ]
    )


def _suppliers_and_materials(scenario: Scenario) -> None:
    build, sizes = scenario.build, scenario.sizes
    suppliers = scenario.add(
        [
            Supplier(build=build, name=f"Chandler {n}", lead_days=5 + n % 20, tax_percent=20)
            for n in range(sizes.suppliers)
        ]
    )
    materials = scenario.add(
        [
            Material(
                build=build, name=f"{form['kind'].title()} {n:03}",
                supplier=suppliers[0] if n < sizes.on_one else suppliers[n % len(suppliers)],
                **form,
            )
            for n in range(sizes.materials)
            for form, _ in [FORMS[n % len(FORMS)]]
        ]
    )  # fmt: skip
    prices = [(material, scenario.day(200 * n + 10)) for material in materials
              for n in range(PRICES)]  # fmt: skip
    prices += [(materials[0], scenario.day(3 * n + 1)) for n in range(sizes.on_one)]
    scenario.add(
        [
            Price(
                material=material, supplier=material.supplier, day=day, currency="EUR",
                net=scenario.random.randint(300, 9000) / Decimal(100),
            )
            for material, day in prices
        ]
    )  # fmt: skip


def _parts(scenario: Scenario) -> None:
    """On tasks all over the plan; some on the known task, some of the known material."""
    materials, count = scenario.rows["material"], scenario.sizes.parts
    on_one, shapes = scenario.sizes.on_one, [shape for _, shape in FORMS]
    parts = []
    for n in range(count):
        place = 0 if on_one <= n < on_one * 2 else n % len(materials)
        task: Task = scenario.often_one(n, "task")
        if n == on_one:  # what the known finish used
            task = scenario.rows["act"][0].task
        parts.append(
            Part(
                build=scenario.build, name=f"Piece {n}", task=task, material=materials[place],
                count=1 + n % 4, notes="Grain up." if n % 5 == 0 else "",
                **shapes[place % len(shapes)],
            )
        )  # fmt: skip
    scenario.add(parts)


def _papers(scenario: Scenario) -> None:
    """The newest are ordered and not paid; some are in another currency."""
    sizes = scenario.sizes
    papers = []
    for n in range(sizes.purchases):
        day = scenario.day(2 + 800 * n / sizes.purchases)
        there = n >= sizes.purchases * 0.1
        strange = n % RECEIPTS_WITHOUT_RATE == 1
        papers.append(
            Purchase(
                build=scenario.build, supplier=scenario.often_one(n, "supplier"),
                receipt_number=f"R-{n:05}", ordered_on=day, paid_on=day if there else None,
                arrived_on=day if there else None, currency="USD" if strange else "EUR",
                rate=(None if n == 1 else Decimal("0.92")) if strange else Decimal(1),
                rate_day=day if strange else None, freight=Decimal(12),
            )
        )  # fmt: skip
    scenario.add(papers)
    scenario.add(
        [
            PurchaseLine(
                purchase=papers[0] if n < sizes.on_one else papers[n % len(papers)],
                material=None if n % 17 == 16 else scenario.often_one(n - 5, "material"),
                what="Shop towels" if n % 17 == 16 else "",
                quantity=1 + n % 9, net=Decimal(1500 + n % 4000) / 100, tax=Decimal(2),
            )
            for n in range(sizes.lines)
        ]
    )  # fmt: skip


def _stock(scenario: Scenario) -> None:
    """What arrived was bought, what is done was used; now and then somebody wasted some."""
    build, owner = scenario.build, scenario.owner
    done = scenario.rows["in plan order"][: int(scenario.sizes.tasks * DONE_PART)]
    moves = [
        StockMove(
            build=build, material=line.material, day=line.purchase.arrived_on, kind="bought",
            quantity=line.quantity, line=line, person=owner,
        )
        for line in scenario.rows["purchaseline"]
        if line.material and line.purchase.arrived_on
    ]  # fmt: skip
    for n in range(scenario.sizes.moves - len(moves)):
        used = n % 8 != 7
        moves.append(
            StockMove(
                build=build, material=scenario.often_one(n, "material"),
                day=scenario.day(700 * scenario.random.random()),
                kind="used" if used else "wasted", quantity=-Decimal("0.5"), person=owner,
                task=scenario.often_one(n, "task") if n < scenario.sizes.on_one
                else scenario.random.choice(done),
            )
        )  # fmt: skip
    scenario.add(moves[::-1])
