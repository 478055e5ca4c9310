"""The stock ledger: rows written by hand, and taken back by a second row."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from buildlog.materials import stock
from buildlog.materials.answers import today_in
from buildlog.materials.material_views import material_sheet, own_material
from buildlog.materials.models import StockMove
from buildlog.materials.stock_forms import StockForm
from tasks.access import CrewRequest, in_build
from tasks.changes import Refused
from tasks.models import Build


@require_POST
@in_build("log")
def stock_move(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    row = own_material(build, pk)
    form = StockForm(request.POST, build=build, material=row, today=today_in(build))
    if not form.is_valid():
        return material_sheet(request, build, row, 422, stock_form=form)
    form.save(request.user)
    messages.success(request, f"Written into the ledger of {row}.")
    return redirect("material", build.slug, pk)


@require_POST
@in_build("log")
def stock_take_back(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    move = get_object_or_404(StockMove, build=build, pk=pk)
    try:
        stock.take_back(move, today_in(build), request.user)
    except Refused as refusal:
        messages.error(request, refusal.message)
    else:
        messages.success(request, "Taken back by a second row.")
    return redirect("material", build.slug, move.material_id)
