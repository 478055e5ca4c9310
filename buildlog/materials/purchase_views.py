from __future__ import annotations

import secrets
from collections.abc import Callable

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from buildlog.files import store
from buildlog.files.serve import send_original
from buildlog.materials import purchasing
from buildlog.materials.answers import today_in, with_more_lines
from buildlog.materials.models import Purchase, PurchaseLine
from buildlog.materials.papers import paper_of
from buildlog.materials.purchase_forms import LineFormSet, PurchaseForm
from buildlog.materials.twins import alone_if_sent
from buildlog.paging import page_of
from tasks.access import CrewRequest, in_build
from tasks.models import Build
from tasks.views.answers import answer_form
from tasks.views.tasks import GET_OR_POST

RECEIPT_KINDS = ("application/pdf", "image/jpeg", "image/png", "image/webp", "image/heic")


@require_safe
@in_build("see-money")
def purchases(request: CrewRequest, build: Build) -> HttpResponse:
    """Every purchase, the newest first; `?only=` unpaid, under-way or no-paper, `?supplier=`."""
    rows = Purchase.objects.filter(build=build).select_related("supplier", "receipt")
    only = request.GET.get("only", "")
    if only == "unpaid":
        rows = rows.filter(paid_on__isnull=True)
    elif only == "under-way":
        rows = rows.filter(arrived_on__isnull=True)
    elif only == "no-paper":
        rows = rows.filter(receipt__isnull=True)
    supplier = None
    if (asked := request.GET.get("supplier", "")).isdecimal() and len(asked) < 19:
        supplier = build.suppliers.filter(pk=asked).first()
        rows = rows.filter(supplier=supplier)
    page = page_of(request, rows.prefetch_related("lines__material"))
    context = {
        "build": build,
        "sheet": "Purchases",
        "page": page,
        "papers": [paper_of(row) for row in page],
        "only": only,
        "supplier": supplier,
    }
    return render(request, "materials/purchases.html", context)


@require_safe
@in_build("see-money")
def purchase(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    found = _with_its_lines(build, pk)
    context = {"build": build, "sheet": "Purchase", "purchase": found, "paper": paper_of(found)}
    return render(request, "materials/purchase.html", context)


def _with_its_lines(build: Build, pk: int) -> Purchase:
    rows = Purchase.objects.select_related("supplier", "receipt")
    return get_object_or_404(rows.prefetch_related("lines__material"), build=build, pk=pk)


@GET_OR_POST
@in_build("money")
def purchase_new(request: CrewRequest, build: Build) -> HttpResponse:
    today = today_in(build)
    return _edit(
        request, build, lambda: Purchase(build=build, ordered_on=today, currency=build.currency)
    )


@GET_OR_POST
@in_build("money")
def purchase_edit(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    rows = Purchase.objects.select_related("supplier", "receipt")
    return _edit(request, build, lambda: get_object_or_404(rows, build=build, pk=pk))


def _edit(request: CrewRequest, build: Build, find: Callable[[], Purchase]) -> HttpResponse:
    """The form of a new or known purchase. A second click on Save finds the first one's row."""
    key = request.POST.get("sent_once", "").replace("\0", "")[:64]
    with alone_if_sent(request, build):
        if twin := _twin(build, key):
            return _done(request, twin)
        row = find()
        form, lines = _forms(request, build, row)
        saved = None
        if request.method == "POST" and "more" not in request.POST:
            saved = _save(request, form, lines, key)
    if saved:
        return _done(request, saved)
    return answer_form(
        request, build, "materials/purchase_edit.html", form, sheet="Purchase", lines=lines,
        purchase=row if row.pk else None, suppliers=form.suppliers.values(),
    )  # fmt: skip


def _forms(request: CrewRequest, build: Build, row: Purchase) -> tuple[PurchaseForm, LineFormSet]:
    sent = with_more_lines(request, "lines") if request.method == "POST" else None
    form = PurchaseForm(
        sent, request.FILES or None, instance=row, build=build,
        initial={"sent_once": secrets.token_urlsafe(16)},
    )  # fmt: skip
    known = PurchaseLine.objects.filter(purchase=row) if row.pk else PurchaseLine.objects.none()
    return form, LineFormSet(sent, instance=row, build=build, queryset=known)


def _done(request: CrewRequest, saved: Purchase) -> HttpResponse:
    messages.success(request, "The purchase is in the books.")
    return redirect("purchase", saved.build.slug, saved.pk)


def _twin(build: Build, key: str) -> Purchase | None:
    """The purchase that an earlier click on the same form made or corrected."""
    found = Purchase.objects.filter(Q(key=key) | Q(save_key=key), build=build)
    return found.select_related("build").first() if key else None


def _save(
    request: CrewRequest, form: PurchaseForm, lines: LineFormSet, key: str
) -> Purchase | None:
    """Save form, lines and receipt together; None, with the reason on the form, if it can't be."""
    good = form.is_valid() & lines.is_valid()
    _take_paper(request, form)
    if not good or form.errors:
        return None
    row = form.instance
    row.key, row.save_key = row.key or key, key
    row.rate = form.cleaned_data["rate"]
    row.receipt = form.paper
    try:
        with transaction.atomic():
            return purchasing.record_purchase(row, lines.lines(), request.user)
    except IntegrityError:
        form.add_error(None, "A purchase with that receipt number is in already.")
    return None


def _take_paper(request: CrewRequest, form: PurchaseForm) -> None:
    """Keep a paper that was sent, whatever else is wrong: nobody should have to send it twice."""
    if kept := form.find_paper():
        form.paper = kept
    if upload := request.FILES.get("receipt_file"):
        try:
            form.keep_paper(store.keep(form.build, upload, allowed=RECEIPT_KINDS))
        except store.Refused as refused:
            form.add_error("receipt_file", str(refused))


@require_POST
@in_build("money")
def purchase_step(request: CrewRequest, build: Build, pk: int, step: str) -> HttpResponse:
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


@GET_OR_POST
@in_build("money")
def purchase_delete(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    if request.method == "POST" and not build.purchases.filter(pk=pk).exists():
        return redirect("purchases", build.slug)  # a second click
    found = _with_its_lines(build, pk)
    if request.method == "POST":
        purchasing.delete_purchase(found, request.user)
        messages.success(request, "The purchase is out of the books.")
        return redirect("purchases", build.slug)
    context = {"build": build, "sheet": "Purchase", "purchase": found, "paper": paper_of(found)}
    return render(request, "materials/purchase_delete.html", context)


@require_safe
@in_build("see-money")
def purchase_receipt(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """The paper itself, as it was kept."""
    found = get_object_or_404(
        Purchase.objects.select_related("receipt"), build=build, pk=pk, receipt__isnull=False
    )
    return send_original(found.receipt)
