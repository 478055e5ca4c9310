"""When work can happen: a week's pattern, and days off."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from tasks import changes
from tasks.access import CrewRequest, in_build
from tasks.forms import DayOffForm, WeekForm
from tasks.models import Build, DayOff, ShopHours
from tasks.views.answers import alone_to_post, answer_form
from tasks.views.tasks import GET_OR_POST


@GET_OR_POST
@in_build("plan")
def shop_hours(request: CrewRequest, build: Build) -> HttpResponse:
    with alone_to_post(request, build):
        form = WeekForm(request.POST or None, week=_week(build))
        if request.method == "POST" and form.is_valid():
            changes.set_week(build, form.stretches())
            messages.success(request, "Kept the shop hours. All dates follow them.")
            return redirect("shop-hours", build.slug)
    return _hours_page(request, build, form, DayOffForm())


@require_POST
@in_build("plan")
def add_day_off(request: CrewRequest, build: Build) -> HttpResponse:
    form = DayOffForm(request.POST, instance=DayOff(build=build))
    if form.is_valid():
        _, made = DayOff.objects.get_or_create(build=build, **form.cleaned_data)
        if made:
            messages.success(request, "Kept the days off. All dates follow them.")
        return redirect("shop-hours", build.slug)
    return _hours_page(request, build, WeekForm(week=_week(build)), form)


@require_POST
@in_build("plan")
def remove_day_off(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    for day_off in DayOff.objects.filter(build=build, pk=pk):
        day_off.delete()
        messages.success(request, "Those days are shop days again.")
    return redirect("shop-hours", build.slug)


def _week(build: Build) -> changes.Stretches:
    week: changes.Stretches = {}
    for hours in ShopHours.objects.filter(build=build):
        week.setdefault(hours.weekday, []).append((hours.start_minute, hours.end_minute))
    return week


def _hours_page(
    request: HttpRequest, build: Build, form: WeekForm, day_off: DayOffForm
) -> HttpResponse:
    today = timezone.localdate()
    rows = DayOff.objects.filter(build=build)
    asked = form if form.is_bound else day_off
    week = _week(build)
    return answer_form(
        request, build, "tasks/shop_hours.html", asked, sheet="Shop hours", week_form=form,
        day_off_form=day_off, to_come=rows.filter(last__gte=today),
        past=rows.filter(last__lt=today).count(),
        weekly=sum(end - start for stretches in week.values() for start, end in stretches),
    )  # fmt: skip
