from __future__ import annotations

import secrets

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from buildlog.files import store
from buildlog.files.serve import send_original
from buildlog.materials import purchasing
from buildlog.materials.models import Purchase, PurchaseLine
from buildlog.materials.papers import paper_of
from buildlog.materials.purchase_forms import LineFormSet, PurchaseForm
from buildlog.paging import page_of
from tasks.access import in_build
from tasks.models import Build

RECEIPT_KINDS = ("application/pdf", "image/jpeg", "image/png", "image/webp", "image/heic")


def today_in(build: Build):
    return timezone.localdate(timezone=build.zone)


@in_build("see-money")
def purchases(request: HttpRequest, build: Build) -> HttpResponse:
    """Every purchase, the newest first; `?only=ordered` those not yet paid or not yet here."""
    rows = Purchase.objects.filter(build=build).select_related("supplier", "receipt")
    only = request.GET.get("only", "")
    if only == "unpaid":
        rows = rows.filter(paid_on__isnull=True)
    elif only == "under-way":
        rows = rows.filter(arrived_on__isnull=True)
    if (supplier := request.GET.get("supplier", "")).isdecimal():
        rows = rows.filter(supplier=supplier)
    page = page_of(request, rows.prefetch_related("lines__material"))
    context = {
        "build": build,
        "sheet": "Purchases",
        "page": page,
        "papers": [paper_of(row) for row in page],
        "only": only,
    }
    return render(request, "materials/purchases.html", context)


@in_build("see-money")
def purchase(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = get_object_or_404(
        Purchase.objects.select_related("supplier", "receipt").prefetch_related("lines__material"),
        build=build,
        pk=pk,
    )
    context = {"build": build, "sheet": "Purchase", "purchase": found, "paper": paper_of(found)}
    return render(request, "materials/purchase.html", context)


@in_build("money")
def purchase_new(request: HttpRequest, build: Build) -> HttpResponse:
    start = Purchase(build=build, ordered_on=today_in(build), currency=build.currency)
    return _edit(request, build, start)


@in_build("money")
def purchase_edit(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    return _edit(request, build, get_object_or_404(Purchase, build=build, pk=pk))


def _edit(request: HttpRequest, build: Build, row: Purchase) -> HttpResponse:
    """The form of a new or known purchase. A second click on Save finds the first one's row."""
    form = PurchaseForm(
        request.POST or None,
        request.FILES or None,
        instance=row,
        build=build,
        initial={"sent_once": secrets.token_urlsafe(16)},
    )
    lines = LineFormSet(
        request.POST or None,
        instance=row,
        build=build,
        queryset=PurchaseLine.objects.filter(purchase=row) if row.pk else None,
    )
    if request.method == "POST":
        key = request.POST.get("sent_once", "")
        saved = None if row.pk else _twin(build, key)
        if saved is None and form.is_valid() & lines.is_valid():
            saved = _save(request, build, form, lines, key)
        if saved:
            messages.success(request, "The purchase is in the books.")
            return redirect("purchase", build.slug, saved.pk)
    context = {
        "build": build,
        "sheet": "Purchase",
        "purchase": row if row.pk else None,
        "form": form,
        "lines": lines,
        "suppliers": form.suppliers.values(),
    }
    return render(request, "materials/purchase_edit.html", context)


def _twin(build: Build, key: str) -> Purchase | None:
    """The purchase that an earlier click on the same form made."""
    return Purchase.objects.filter(build=build, key=key).first() if key else None


def _save(
    request: HttpRequest, build: Build, form: PurchaseForm, lines: LineFormSet, key: str
) -> Purchase | None:
    """Save form, lines and receipt together; None, with the reason on the form, if it can't be."""
    row = form.instance
    row.key = row.key or key
    row.rate = form.cleaned_data["rate"]
    try:
        with transaction.atomic():
            if upload := form.cleaned_data["receipt_file"]:
                row.receipt = store.keep(build, upload, allowed=RECEIPT_KINDS)
            return purchasing.record_purchase(row, lines.lines(), request.user)
    except store.Refused as refused:
        form.add_error("receipt_file", str(refused))
    except IntegrityError:
        if twin := _twin(build, key):
            return twin  # two clicks at the same moment
        form.add_error(None, "A purchase with that receipt number is in already.")
    return None


@require_POST
@in_build("money")
def purchase_step(request: HttpRequest, build: Build, pk: int, step: str) -> HttpResponse:
    """Say today that it arrived or was paid."""
    found = get_object_or_404(Purchase, build=build, pk=pk)
    if step == "arrived":
        changed = purchasing.mark_arrived(found, today_in(build), request.user)
        done = "It is in stock."
    else:
        changed = purchasing.mark_paid(found, today_in(build))
        done = "It is paid."
    messages.success(request, done if changed else "That was done already.")
    return redirect("purchase", build.slug, found.pk)


@in_build("money")
def purchase_delete(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = get_object_or_404(Purchase, build=build, pk=pk)
    if request.method == "POST":
        purchasing.delete_purchase(found, request.user)
        messages.success(request, "The purchase is out of the books.")
        return redirect("purchases", build.slug)
    context = {"build": build, "sheet": "Purchase", "purchase": found, "paper": paper_of(found)}
    return render(request, "materials/purchase_delete.html", context)


@in_build("see-money")
def purchase_receipt(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """The paper itself, as it was kept."""
    found = get_object_or_404(
        Purchase.objects.select_related("receipt"), build=build, pk=pk, receipt__isnull=False
    )
    return send_original(found.receipt)
