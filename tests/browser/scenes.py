"""Makes builds in the data folder of a running program, each whole and apart from the others.

A process of its own, because the rows belong to the served program's database and not to the
tests'. It reads one request a line, `{"make": "scene", ...}`, and answers with one line of JSON.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import secrets
import sys
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
django.setup()

from django.contrib.auth.hashers import PBKDF2PasswordHasher  # noqa: E402
from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: E402
from django.test import Client  # noqa: E402
from django.utils import timezone  # noqa: E402

from buildlog.background.jobs import run_open_jobs  # noqa: E402
from buildlog.door.crew import invite  # noqa: E402
from buildlog.door.models import ApiToken  # noqa: E402
from buildlog.files.store import keep  # noqa: E402
from buildlog.journal.intake import Place, take_in  # noqa: E402
from buildlog.journal.writing import Hours, Writing, add_entry  # noqa: E402
from buildlog.lists.models import Upload  # noqa: E402
from buildlog.materials.models import (  # noqa: E402
    Material,
    Part,
    Price,
    Purchase,
    PurchaseLine,
    StockMove,
    Supplier,
)
from buildlog.materials.purchasing import record_purchase  # noqa: E402
from buildlog.money.models import Budget, StandingCost  # noqa: E402
from buildlog.supporters import showing  # noqa: E402
from buildlog.supporters.models import (  # noqa: E402
    Contribution,
    PublicPage,
    Supporter,
    Update,
)
from tasks import acts  # noqa: E402
from tasks.models import (  # noqa: E402
    Act,
    Build,
    Crew,
    DayOff,
    Link,
    Person,
    Role,
    ShopHours,
    Stage,
    Task,
)
from tests.addresses import every_address  # noqa: E402
from tests.browser.pictures import a_photo  # noqa: E402

HOUR = 60
PASSWORD = "four planks and a keel"
QUICK_TO_CHECK = PBKDF2PasswordHasher().encode(PASSWORD, "salt", iterations=1)
CLIENT = Client(raise_request_exception=False, SERVER_NAME="127.0.0.1")

# code, stage, name, likely hours, hands, unbroken, cure in hours, after
TASKS = [
    ("F1", "Frames", "Cut the frames", 10, 1, False, 0, ()),
    ("F2", "Frames", "Glue the doublers", 3, 1, True, 48, ("F1",)),
    ("F3", "Frames", "Set up the frames", 8, 2, False, 0, ("F2",)),
    ("P1", "Planking", "Plane the stringers", 40, 1, False, 0, ("F1",)),
    ("P2", "Planking", "Hang the planking", 30, 2, False, 24, ("F3", "P1")),
    ("N1", "Inside", "Build the berth", 5, 1, False, 0, ("F1",)),
    ("N2", "Inside", "Varnish the spars", 6, 1, False, 16, ()),
    ("L1", "Launch", "Launch her", 4, 6, True, 0, ("P2", "N1", "N2")),
]


def make_scene() -> dict[str, Any]:
    """A build with rows in every room; see `TASKS`. F1 is done, F2 cures, P1 is critical."""
    build = Build(name="Sedge", time_zone="Europe/Paris", currency="EUR")
    build.slug = f"sedge-{secrets.token_hex(3)}"
    build.started = timezone.localdate() - dt.timedelta(days=200)
    build.about = "A small plywood cruiser."
    build.save()
    owner, hand = _person("olive", "Olive"), _person("hanna", "Hanna")
    Crew.objects.create(build=build, person=owner, role=Role.OWNER)
    place = Crew.objects.create(build=build, person=hand, role=Role.HAND)
    invitation, token = invite(
        build, owner, role=Role.ONLOOKER, sees_money=False, note="for the neighbour",
        until=timezone.now() + dt.timedelta(days=7),
    )  # fmt: skip
    ApiToken.objects.create(person=owner, name="shed tablet", token_hash=secrets.token_hex(32))
    tasks = _plan(build, owner)
    stock = _materials(build, tasks, owner)
    record = _record(build, owner, tasks)
    telling = _telling(build, owner, record["photos"])
    list_ = Upload.objects.order_by("-pk").first() if _bring_a_list(build, owner) else None
    run_open_jobs()
    pks: dict[str, Any] = {
        "build": build.pk,
        "task": tasks["P1"].pk,
        "stage": tasks["P1"].stage_id,
        "link": build.links.order_by("pk").last().pk,
        "day_off": build.days_off.get().pk,
        "place": place.pk,
        "invitation": invitation.pk,
        "list": list_.pk,
        "job": build.jobs.order_by("pk").first().pk,
        "act": Act.objects.filter(build=build).latest("pk").pk,
        **stock, **record["pks"], **telling["pks"],
    }  # fmt: skip
    return {
        "slug": build.slug,
        "name": build.name,
        "tasks": {code: task.pk for code, task in tasks.items()},
        "pks": pks,
        "page": telling["address"],
        "invitation": token,
        "owner": _signed_in(owner),
        "hand": _signed_in(hand),
    }


def _person(start: str, name: str) -> Person:
    username = f"{start}-{secrets.token_hex(3)}"
    return Person.objects.create(username=username, password=QUICK_TO_CHECK, name=name)


def _signed_in(person: Person) -> dict[str, str]:
    _sign_in(person)
    session = CLIENT.cookies["sessionid"].value
    return {"username": person.username, "password": PASSWORD, "session": session}


def _sign_in(person: Person | None) -> None:
    """Let the one client, whose sessions outlive it, be this person or a stranger."""
    CLIENT.cookies.clear()
    if person:
        CLIENT.force_login(person, backend="django.contrib.auth.backends.ModelBackend")


def _plan(build: Build, owner: Person) -> dict[str, Task]:
    ShopHours.objects.bulk_create(
        ShopHours(build=build, weekday=day, start_minute=9 * HOUR, end_minute=17 * HOUR)
        for day in range(7)
    )
    today = timezone.localdate()
    DayOff.objects.create(
        build=build, first=today + dt.timedelta(days=40), last=today + dt.timedelta(days=44),
        reason="family",
    )  # fmt: skip
    tasks: dict[str, Task] = {}
    stages: dict[str, Stage] = {}
    for code, stage, name, hours, hands, unbroken, cure, after in TASKS:
        if stage not in stages:
            stages[stage] = Stage.objects.create(build=build, name=stage, order=len(stages))
        tasks[code] = Task.objects.create(
            build=build, stage=stages[stage], code=code, name=name, order=len(tasks),
            low_minutes=hours * HOUR // 2, likely_minutes=hours * HOUR,
            high_minutes=hours * HOUR * 2, hands=hands, unbroken=unbroken,
            cure_minutes=cure * HOUR, notes="Follow the designer's drawing.",
        )  # fmt: skip
        for before in after:
            Link.objects.create(build=build, before=tasks[before], after=tasks[code])
    now = timezone.now()
    for code, began, ended in (("F1", 9, 5), ("F2", 1, 0.9)):
        acts.start(tasks[code], owner, now - dt.timedelta(days=began))
        acts.finish(tasks[code], owner, now - dt.timedelta(days=ended))
    return tasks


def _materials(build: Build, tasks: dict[str, Task], owner: Person) -> dict[str, int]:
    today = timezone.localdate()
    yard = Supplier.objects.create(build=build, name="Timber yard", lead_days=10)
    ply = Material.objects.create(
        build=build, name="Plywood 9 mm", kind="sheet", unit="sheet", length_mm=2500,
        width_mm=1220, thickness_mm=9, supplier=yard,
    )  # fmt: skip
    glue = Material.objects.create(
        build=build, name="Epoxy", kind="resin", unit="kg", density=1100, supplier=yard
    )
    for material, net in ((ply, "94.50"), (glue, "21.90")):
        Price.objects.create(
            material=material, supplier=yard, day=today - dt.timedelta(days=60),
            net=Decimal(net), currency="EUR",
        )  # fmt: skip
    part = Part.objects.create(
        build=build, name="Plank", task=tasks["P2"], material=ply, count=6, length_mm=2400,
        width_mm=400, mirrored=True,
    )  # fmt: skip
    Part.objects.create(
        build=build, name="Stringer glue", task=tasks["P1"], material=glue, quantity=Decimal(2)
    )
    Part.objects.create(
        build=build, name="Doubler glue", task=tasks["F2"], material=glue, quantity=Decimal(1)
    )
    receipt = keep(build, SimpleUploadedFile("receipt.pdf", b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\n"))
    bought = Purchase(
        build=build, supplier=yard, ordered_on=today - dt.timedelta(days=60),
        paid_on=today - dt.timedelta(days=60), arrived_on=today - dt.timedelta(days=55),
        currency="EUR", receipt=receipt, receipt_number="TY-1", freight=Decimal("25"),
    )  # fmt: skip
    lines = [
        PurchaseLine(material=ply, quantity=Decimal(2), net=Decimal(189), tax=Decimal("39.69")),
        PurchaseLine(material=glue, quantity=Decimal(6), net=Decimal("131.40"), tax=Decimal(27)),
    ]
    record_purchase(bought, lines, owner)
    ordered = Purchase(
        build=build, supplier=yard, ordered_on=today - dt.timedelta(days=2), currency="EUR"
    )
    record_purchase(
        ordered, [PurchaseLine(what="Band saw blade", quantity=Decimal(1), net=Decimal(18))], owner
    )
    cost = StandingCost.objects.create(
        build=build, name="Shed", a_month=120, first=today - dt.timedelta(days=200)
    )
    Budget.objects.create(build=build, contingency_percent=10)
    return {
        "supplier": yard.pk,
        "material": ply.pk,
        "resin": glue.pk,
        "price": ply.prices.get().pk,
        "part": part.pk,
        "purchase": bought.pk,
        "ordered": ordered.pk,
        "stock": StockMove.objects.filter(build=build).latest("pk").pk,
        "standing": cost.pk,
    }


def _record(build: Build, owner: Person, tasks: dict[str, Task]) -> dict[str, Any]:
    crew = Crew.objects.get(build=build, person=owner)
    today = timezone.localdate()
    written = []
    for ago, code in ((9, "F1"), (5, "F1"), (1, "F2")):
        task = tasks[code]
        entry, _ = add_entry(
            build, crew,
            Writing(
                today - dt.timedelta(days=ago), f"Went on with *{task.name.lower()}*.", [task],
                [Hours(4 * HOUR, owner, task=task)], air_c=Decimal(14), humidity=Decimal(60),
            ),
        )  # fmt: skip
        written.append(entry)
    photos = [
        take_in(
            build, owner, a_photo(f"IMG_{seed:04}.jpg", f"{build.slug}-{seed}"),
            Place(tasks["F1"].stage, (tasks["F1"],), written[0]),
        ).photo
        for seed in range(3)
    ]  # fmt: skip
    return {"photos": photos, "pks": {"entry": written[0].pk, "photo": photos[0].pk}}


def _telling(build: Build, owner: Person, photos: list[Any]) -> dict[str, Any]:
    now = timezone.now()
    supporter = Supporter.objects.create(
        build=build, name="Aunt Petronel", agreed=True, since=now.date()
    )
    contribution = Contribution.objects.create(
        supporter=supporter, day=now.date(), amount=Decimal(25)
    )
    page = PublicPage.objects.create(build=build, intro="She grows.", shows_task_names=True)
    update = Update.objects.create(
        build=build, title="Frames cut", text="All **nine** of them.", day=now.date()
    )
    update.photos.set(photos[:2])
    showing.show(page, owner, now)
    showing.show(update, owner, now)
    pks = {"supporter": supporter.pk, "contribution": contribution.pk, "update": update.pk}
    return {"address": page.address, "pks": pks}


def _bring_a_list(build: Build, owner: Person) -> bool:
    """A list that waits to be looked at, with a row that cannot come in."""
    _sign_in(owner)
    text = "id,stage,task,likely h\nX1,Rig,Make the mast,30\nX2,Rig,Make the boom,lots\n"
    answer = CLIENT.post(
        f"/b/{build.slug}/lists/",
        {"kind": "tasks", "file": SimpleUploadedFile("rig.csv", text.encode())},
    )
    return answer.status_code == 302


def make_person(name: str) -> dict[str, str]:
    """Somebody with an account and no build."""
    return _signed_in(_person(name.lower(), name))


def start_task(slug: str, task: int, person: str) -> dict[str, Any]:
    """Let a person's clock run on a task."""
    act = acts.start(
        Task.objects.get(build__slug=slug, pk=task),
        Person.objects.get(username=person), timezone.now(),
    )  # fmt: skip
    return {"act": act.pk}


def pages(slug: str, username: str, pks: dict[str, int], **words: str) -> dict[str, Any]:
    """Every address that answers a person with a page, one for each name; and what the others do.

    A name is tried with each key until one answers.
    """
    _sign_in(Person.objects.get(username=username) if username else None)
    values = _Values(slug, words, sorted(set(pks.values())))
    found: dict[str, str] = {}
    others: dict[str, list[int]] = {}
    for address in every_address(values):
        if address.name in found or 405 in others.get(address.name, []):
            continue
        if address.url.startswith("/api/builds/"):
            continue  # they answer with JSON only
        answer = CLIENT.get(address.url)
        is_page = (
            answer.status_code == 200
            and "text/html" in answer["Content-Type"]
            and answer.content.lstrip().startswith(b"<!doctype html>")  # and no part of one
        )
        answer.close()
        if is_page:
            found[address.name] = address.url
        elif answer.status_code == 200:
            others[address.name] = [405]  # a file, and no page
        else:
            others.setdefault(address.name, []).append(answer.status_code)
    return {
        "pages": found,
        "others": {name: sorted(set(s)) for name, s in others.items() if name not in found},
    }


class _Values(dict):
    def __init__(self, slug: str, words: dict[str, str], pks: list[int]) -> None:
        super().__init__(
            slug=[slug], pk=pks, address=[words.get("address", "none")],
            token=[words.get("token", "none")], long_side=[320], sha256=["0" * 64],
            format=["json"], form=["csv"], what=["tasks"], sort=["help"],
            name=["to-buy"],
        )  # fmt: skip

    def __missing__(self, name: str) -> list[Any]:
        return [*self["pk"][:1], "tasks"]


MAKERS: dict[str, Callable[..., Any]] = {
    "scene": make_scene,
    "person": make_person,
    "pages": pages,
    "start": start_task,
}


def main() -> None:
    for line in sys.stdin:
        asked = json.loads(line)
        try:
            answer = {"made": MAKERS[asked.pop("make")](**asked)}
        except Exception as error:  # the test that asked is told
            import traceback

            answer = {"error": f"{error!r}\n{traceback.format_exc()}"}
        print(json.dumps(answer, default=str), flush=True)


if __name__ == "__main__":
    main()
