"""One material: its sheet, add, change, delete, and its prices."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from buildlog.drawing.price_steps import PriceDot, price_steps
from buildlog.materials import catalogue
from buildlog.materials.answers import task_list, today_in
from buildlog.materials.material_forms import MaterialForm, PriceForm
from buildlog.materials.material_page import (
    PricePoint,
    ledger_of,
    made_for_tasks,
    price_history,
)
from buildlog.materials.models import Material, Price
from buildlog.materials.need import needs_of
from buildlog.materials.ordering import lead_days
from buildlog.materials.stock_forms import StockForm
from buildlog.materials.twins import alone_if_sent
from buildlog.paging import page_of
from tasks.access import CrewRequest, in_build
from tasks.changes import Refused
from tasks.models import Build
from tasks.plan import plan_of
from tasks.views.answers import answer_form
from tasks.views.tasks import GET_OR_POST


def own_material(build: Build, pk: int) -> Material:
    return get_object_or_404(build.materials.select_related("supplier"), pk=pk)


@require_safe
@in_build("look")
def material(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    return material_sheet(request, build, own_material(build, pk))


def material_sheet(
    request: CrewRequest, build: Build, row: Material, status: int = 200, **forms: Any
) -> HttpResponse:
    """The sheet of a material; `forms` are those that were sent and refused."""
    plan = plan_of(build)
    needs = needs_of(build, plan)
    figures = needs.of_material(row.pk)
    asking = page_of(request, figures.need.tasks if figures else (), 10, "tasks")
    today = today_in(build)
    context: dict[str, Any] = {
        "build": build,
        "sheet": "Material",
        "material": row,
        "figures": figures,
        "lead_days": lead_days(row),
        "asking": asking,
        "made_for": made_for_tasks(plan, needs, figures, asking) if figures else [],
        "moves": page_of(request, ledger_of(row), 12, "rows"),
        "stock_form": StockForm(build=build, material=row, today=today),
        "task_list": task_list(build),
        "rights": request.crew.rights,
        "sees_money": request.crew.may("see-money"),
        "today": today,
    }
    if request.crew.may("see-money"):
        history = price_history(row)
        context["history"] = page_of(request, history[::-1], 8, "prices")
        context["drawn"] = draw_prices(history, build)
        context["price_form"] = PriceForm(build=build, material=row, today=today)
    return render(request, "materials/material.html", context | forms, status=status)


def draw_prices(history: list[PricePoint], build: Build) -> Any:
    """The curve of what it cost; none where there are not two prices to compare."""
    dots = [
        PriceDot(one.day, float(one.net), paid=one.line is not None)
        for one in history
        if one.net is not None
    ]
    return price_steps(dots, today_in(build), build.currency) if len(dots) > 1 else None


@GET_OR_POST
@in_build("plan")
def material_new(request: CrewRequest, build: Build) -> HttpResponse:
    with alone_if_sent(request, build) as build:
        form = MaterialForm(request.POST or None, build=build)
        if request.method == "POST" and (form.is_valid() or form.twin()):
            row = form.twin() or form.save()
            messages.success(request, f"{row} is in the catalogue.")
            return redirect("material", build.slug, row.pk)
    return answer_form(request, build, "materials/material_form.html", form, sheet="New material")


@GET_OR_POST
@in_build("plan")
def material_edit(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_if_sent(request, build) as build:
        row = own_material(build, pk)
        form = MaterialForm(request.POST or None, build=build, instance=row)
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, f"Changed {row}.")
            return redirect("material", build.slug, row.pk)
    return answer_form(
        request, build, "materials/material_form.html", form, sheet="Material",
        material=own_material(build, pk),
    )  # fmt: skip


@GET_OR_POST
@in_build("plan")
def material_delete(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    if request.method == "POST" and not build.materials.filter(pk=pk).exists():
        return redirect("materials", build.slug)  # a second click
    row = own_material(build, pk)
    if request.method == "POST":
        name = str(row)
        try:
            catalogue.delete_material(row)
        except Refused as refusal:
            messages.error(request, refusal.message)
            return redirect("material", build.slug, pk)
        messages.success(request, f"Deleted {name}.")
        return redirect("materials", build.slug)
    context = {
        "build": build, "sheet": "Material", "material": row, "held": catalogue.hangs_on(row),
        "prices": row.prices.count(),
    }  # fmt: skip
    return render(request, "materials/material_delete.html", context)


@require_POST
@in_build("money")
def price_new(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    row = own_material(build, pk)
    form = PriceForm(request.POST, build=build, material=row, today=today_in(build))
    if not form.is_valid():
        return material_sheet(request, build, row, 422, price_form=form)
    form.save()
    messages.success(request, f"The price of {row} is noted.")
    return redirect("material", build.slug, pk)


@require_POST
@in_build("money")
def price_delete(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """A price that was typed wrong goes; what was paid stands in the purchases."""
    price = Price.objects.filter(material__build=build, pk=pk).first()
    if price is None:  # a second click, or struck out in another tab
        return redirect("materials", build.slug)
    price.delete()
    messages.success(request, f"Struck out the price of {price.day:%-d %b %Y}.")
    return redirect("material", build.slug, price.material_id)
