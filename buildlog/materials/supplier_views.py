"""Suppliers: how long they take to deliver, what freight and tax come on top."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from buildlog.materials import catalogue
from buildlog.materials.material_forms import SupplierForm
from buildlog.materials.models import Supplier
from buildlog.materials.twins import alone_if_sent
from buildlog.paging import page_of
from tasks.access import CrewRequest, in_build
from tasks.changes import Refused
from tasks.models import Build
from tasks.views.answers import answer_form
from tasks.views.tasks import GET_OR_POST


@require_safe
@in_build("see-money")
def suppliers(request: CrewRequest, build: Build) -> HttpResponse:
    rows = build.suppliers.annotate(
        sells=Count("materials", distinct=True), sold=Count("purchases", distinct=True)
    ).order_by("name", "pk")  # a group has no order of its own
    context = {"build": build, "sheet": "Suppliers", "page": page_of(request, rows)}
    return render(request, "materials/suppliers.html", context)


@GET_OR_POST
@in_build("money")
def supplier_new(request: CrewRequest, build: Build) -> HttpResponse:
    with alone_if_sent(request, build) as build:
        form = SupplierForm(request.POST or None, build=build)
        if request.method == "POST" and (form.is_valid() or form.twin()):
            row = form.twin() or form.save()
            messages.success(request, f"{row} is on the list.")
            return redirect("suppliers", build.slug)
    return answer_form(request, build, "materials/supplier_form.html", form, sheet="New supplier")


@GET_OR_POST
@in_build("money")
def supplier_edit(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_if_sent(request, build) as build:
        row = get_object_or_404(Supplier, build=build, pk=pk)
        form = SupplierForm(request.POST or None, build=build, instance=row)
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, f"Changed {row}.")
            return redirect("suppliers", build.slug)
    row = get_object_or_404(Supplier, build=build, pk=pk)
    return answer_form(
        request, build, "materials/supplier_form.html", form, sheet="Supplier", supplier=row
    )


@require_POST
@in_build("money")
def supplier_delete(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    row = Supplier.objects.filter(build=build, pk=pk).first()
    if row:  # else a double click, or deleted in another tab
        name = str(row)
        try:
            catalogue.delete_supplier(row)
            messages.success(request, f"Deleted {name}.")
        except Refused as refusal:
            messages.error(request, refusal.message)
    return redirect("suppliers", build.slug)
