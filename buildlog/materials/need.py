"""The one bridge between a build's parts, stock and prices and the takeoff.

Every page that shows a need, a shortage or an amount to buy asks `needs_of`.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import partial
from typing import cast

from django.core.cache import cache
from django.db import transaction

from buildlog.materials import takeoff
from buildlog.materials.models import ZERO, Material, Part
from buildlog.materials.prices import PriceNow, prices_now
from buildlog.materials.stock import on_order, stock_of, used_for_unfinished
from tasks.models import Build, Doing
from tasks.plan import Plan, State

KEEP_SECONDS = 3600
UNMADE = frozenset({State.WAITING, State.READY, State.IN_HAND})


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """A material with what is needed of it from now on, in its unit."""

    material: Material
    need: takeoff.MaterialNeed  # what is on its way counts as if it were here; no single parts
    stock: Decimal
    on_order: Decimal
    price: PriceNow | None

    @property
    def to_buy(self) -> Decimal:
        return self.need.to_buy

    @property
    def cost(self) -> Decimal | None:
        """What is to be bought costs, brought home, build currency. None without a price."""
        if not self.to_buy:
            return ZERO
        return None if self.price is None else self.to_buy * self.price.home


@dataclass(frozen=True, slots=True)
class TaskRow:
    """What a task needs of a material. `covered` by what is in the shed today."""

    material: Material
    gross: Decimal
    covered: bool
    short: Decimal  # beyond what is in the shed
    to_buy_share: Decimal  # beyond what is in the shed and on its way


@dataclass(frozen=True, slots=True)
class Needs:
    materials: list[MaterialRow]
    tasks: dict[int | None, list[TaskRow]]
    problems: list[takeoff.Problem] = field(default_factory=list)

    def of_task(self, pk: int) -> list[TaskRow]:
        return self.tasks.get(pk, [])

    def of_material(self, pk: int) -> MaterialRow | None:
        return next((row for row in self.materials if row.material.pk == pk), None)

    def in_shed(self, pk: int) -> bool:
        """Whether all that the task needs is there."""
        return all(row.covered for row in self.of_task(pk))


def needs_of(build: Build, plan: Plan) -> Needs:
    """What the unmade parts need, in the order of the plan. A fixed number of queries.

    Parts are unmade until their task is finished. What was taken from stock for a task that is
    still in hand counts as being there for it.
    """
    materials = list(build.materials.select_related("supplier").all())
    versions = Build.objects.values_list("plan_version", "books_version").get(pk=build.pk)
    key = f"needs-{build.pk}"
    made_of = (*versions, plan.now.date())
    kept = cache.get(key)
    if not kept or kept[0] != made_of:
        kept = (made_of, _take_off(build, plan, materials))
        # Not before what we read is there for good: a roll-back must leave nothing behind.
        transaction.on_commit(partial(cache.set, key, kept, KEEP_SECONDS))
    home, shed, stock, coming, prices = kept[1]
    return _rows(materials, home, shed, stock, coming, prices)


def needs_without(
    build: Build, plan: Plan, left_out: Collection[int] = (), bought: Collection[int] = ()
) -> Needs:
    """What would be needed if these tasks were left out, and those bought in material and all."""
    materials = list(build.materials.select_related("supplier").all())
    return _rows(materials, *_take_off(build, plan, materials, left_out, bought))


def plan_order(plan: Plan) -> list[int]:
    """Tasks not finished, in the order in which the plan comes to them."""
    unmade = plan.in_state(*UNMADE)
    return [planned.pk for planned in sorted(unmade, key=lambda one: one.figures.early_start)]


def _take_off(
    build: Build,
    plan: Plan,
    materials: list[Material],
    left_out: Collection[int] = (),
    bought: Collection[int] = (),
):
    order = [pk for pk in plan_order(plan) if pk not in left_out]
    unmade = set(order)
    # Who does a task with their own material leaves to us only the equipment that goes in.
    bought = {pk for pk in order if plan.tasks[pk].task.doing == Doing.BOUGHT_ALL or pk in bought}
    equipment = {one.pk for one in materials if one.kind == Material.Kind.EQUIPMENT}
    values = [as_value(material) for material in materials]
    parts = [
        as_part(part)
        for part in Part.objects.filter(build=build).order_by("pk")
        if part.task_id is None or part.task_id in unmade
        if part.task_id not in bought or part.material_id in equipment
    ]
    stock, coming, held = stock_of(build), on_order(build), used_for_unfinished(build)
    here: dict[Hashable, Decimal] = {
        key: stock.get(key, ZERO) + held.get(key, ZERO) for key in stock.keys() | held.keys()
    }
    both = here | {key: here.get(key, ZERO) + amount for key, amount in coming.items()}
    measured = takeoff.measure(values, parts)
    home = measured.against(both, order)
    # What nothing is on its way of is in the shed or not at all.
    again = measured.against(here, order, only=coming)
    shed = takeoff.Takeoff(home.materials | again.materials, home.problems)
    return _light(home), _light(shed), stock, coming, prices_now(build)


def _light(taken: takeoff.Takeoff) -> takeoff.Takeoff:
    """Without the needs of single parts, which nobody asks for and which fill the cache."""
    materials = {key: replace(need, needs=()) for key, need in taken.materials.items()}
    return takeoff.Takeoff(materials, taken.problems)


def _rows(materials, home, shed, stock, coming, prices) -> Needs:
    rows = [
        MaterialRow(
            material,
            home.materials[material.pk],
            stock.get(material.pk, ZERO),
            coming.get(material.pk, ZERO),
            prices.get(material.pk),
        )
        for material in materials
        if material.pk in home.materials
    ]
    tasks: dict[int | None, list[TaskRow]] = {}
    for row in rows:
        in_shed = {need.task: need for need in shed.materials[row.material.pk].tasks}
        for need in row.need.tasks:
            here = in_shed[need.task]
            tasks.setdefault(cast("int | None", need.task), []).append(
                TaskRow(row.material, need.gross, here.covered, here.short, need.short)
            )
    return Needs(rows, tasks, list(home.problems))


def as_value(material: Material) -> takeoff.Material:
    """A row of the catalogue as the takeoff's value."""
    return takeoff.Material(
        key=material.pk,
        name=material.name,
        kind=takeoff.Kind(material.kind),
        unit=takeoff.StockUnit(material.unit),
        length_mm=material.length_mm,
        width_mm=material.width_mm,
        thickness_mm=material.thickness_mm,
        nominal_width_mm=material.nominal_width_mm,
        nominal_thickness_mm=material.nominal_thickness_mm,
        density=material.density,
        areal_weight=material.areal_weight,
        coverage=material.coverage,
        each_kg=material.each_kg,
        pack=material.pack,
        allowance=material.waste_percent / 100,
    )


def as_part(part: Part) -> takeoff.Part:
    """A row of the parts list as the takeoff's value."""
    own = part.allowance_percent
    return takeoff.Part(
        key=part.pk,
        name=part.name,
        material=part.material_id,
        task=part.task_id,
        count=part.count,
        mirrored=part.mirrored,
        length_mm=part.length_mm,
        width_mm=part.width_mm,
        thickness_mm=part.thickness_mm,
        layers=part.layers,
        quantity=part.quantity,
        grain=takeoff.Grain(part.grain),
        scarf_ratio=part.scarf_ratio,
        allowance=None if own is None else own / 100,
    )
