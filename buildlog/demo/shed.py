"""Who helps with the invented build, what its tasks hold, and what some of them keep to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from tasks.models import Build, HelpDay, Task, TaskThing, Thing, WorkKind, WorkLimit
from tasks.order import reckon_order
from tasks.plan import plan_of

__all__ = ["SORT_OF_STAGE", "fill_shed", "sort_of_task"]

SORT_OF_STAGE = {
    "Lofting": WorkKind.SETTING_OUT,
    "Strongback": WorkKind.SETTING_OUT,
    "Keelson": WorkKind.GLUING,
    "Planking": WorkKind.GLUING,
    "Sheathing": WorkKind.SHEATHING,
    "Turning over": WorkKind.HANDLING,
    "Interior": WorkKind.FITTING_OUT,
    "Engine": WorkKind.FITTING_OUT,
    "Windows": WorkKind.FITTING_OUT,
    "Paint": WorkKind.COATING,
    "Launch": WorkKind.HANDLING,
}
_GLUED = ("Glue", "Laminate", "Fit and glue", "Scarf", "Tape", "Fillet")
_FAIRED = ("Fair", "Fill the weave", "Trim")
_COATED = ("Seal", "Prime", "Clean and seal")

#: For these the heated tent goes up; the other coats wait for the warm half of the year.
IN_THE_TENT = ("H2", "H3")
COATS = ("H5", "Q1", "Q2", "Q3")
FRIENDS_FROM = 300  # days from today
SATURDAY = 5


def sort_of_task(name: str) -> str:
    """A sort of work of its own where the name says more than the stage."""
    for words, sort in (
        (_GLUED, WorkKind.GLUING),
        (_FAIRED, WorkKind.FAIRING),
        (_COATED, WorkKind.COATING),
    ):
        if name.startswith(words):
            return sort
    return ""


def fill_shed(build: Build, tasks: Mapping[str, Task], today: dt.date, helper: str) -> None:
    """Book the helpers so that the plan has a day for each task that needs them."""
    tent = Thing.objects.create(build=build, name="heated tent", count=1)
    clamps = Thing.objects.create(build=build, name="long clamps", count=24)
    warm = WorkLimit.objects.create(
        build=build, name="warm enough to coat", first_month=4, first_day=15,
        last_month=10, last_day=15, lifted_by=tent,
    )  # fmt: skip
    for code in (*IN_THE_TENT, *COATS):
        tasks[code].limit = warm
        tasks[code].save(update_fields=["limit"])
    held = [(code, tent, 1) for code in IN_THE_TENT]
    held += [(code, clamps, count) for code, count in (("S6", 20), ("S8", 24), ("D4", 24))]
    for code, thing, count in held:
        TaskThing.objects.create(build=build, task=tasks[code], thing=thing, count=count)
    HelpDay.objects.create(build=build, who=helper, weekday=SATURDAY)
    HelpDay.objects.create(
        build=build, who="Two friends from the rowing club", hands=2, weekday=SATURDAY,
        first=today + dt.timedelta(days=FRIENDS_FROM),
    )  # fmt: skip
    _book_the_turning(build, tasks["T2"])


def _book_the_turning(build: Build, turning: Task) -> None:
    """Ten more hands for a Saturday some weeks after all that comes before can be done."""
    build.refresh_from_db()
    order = reckon_order(plan_of(build))
    if order is None:
        return
    before = turning.links_in.values_list("before", flat=True)
    day = max(order.places[pk].cured.date() for pk in before) + dt.timedelta(weeks=4)
    day += dt.timedelta(days=(SATURDAY - day.weekday()) % 7)
    HelpDay.objects.create(
        build=build, who="Everybody, to turn her over", hands=10, first=day,
        start_minute=10 * 60, end_minute=16 * 60,
    )  # fmt: skip
