"""Load the invented build. Loading it again does no harm: what is there is left as it is."""

from __future__ import annotations

import datetime as dt
import random
from collections import defaultdict
from decimal import Decimal

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from buildlog.ahead.looking import ask_to_look
from buildlog.demo import days, log, people, pictures, plan, purchases, shelf
from buildlog.demo.history import tell_history
from buildlog.demo.owner import BUILDER
from buildlog.demo.shed import SORT_OF_STAGE, fill_shed, sort_of_task
from buildlog.journal.intake import Place, take_in
from buildlog.journal.models import Entry, Photo
from buildlog.materials.models import (
    Material,
    Part,
    Price,
    Purchase,
    PurchaseLine,
    StockMove,
    Supplier,
)
from buildlog.materials.purchasing import record_purchase
from buildlog.materials.stock import count_stock
from buildlog.materials.using import use_for
from buildlog.money.models import Budget, StandingCost
from buildlog.supporters.models import Contribution, PublicPage, Showing, Supporter, Update
from tasks.models import (
    Build,
    Crew,
    DayOff,
    Link,
    Person,
    Role,
    ShopHours,
    Stage,
    Task,
    Work,
    WorkKind,
)

SLUG = "marram"
ZONE = "Europe/Amsterdam"
HELPER = "Jonna"


def load(person: Person | None = None) -> tuple[Build, bool]:
    """Load the demo build for a person, or for nobody yet. Say whether it was new."""
    with transaction.atomic():
        build = Build.objects.filter(demo=True).first()
        is_new = build is None
        if build is None:
            build = _Loader().load()
            ask_to_look(build)
        if person and not build.crew.filter(role=Role.OWNER).exists():
            Crew.objects.update_or_create(build=build, person=person, defaults={"role": Role.OWNER})
    return build, is_new


def _free_slug() -> str:
    slug, number = SLUG, 2
    while Build.objects.filter(slug=slug).exists():
        slug, number = f"{SLUG}-{number}", number + 1
    return slug


class _Loader:
    """One load: what is made early is looked up by what is made later."""

    def __init__(self) -> None:
        self.build = Build(
            name="Marram",
            slug=_free_slug(),
            about="A 7.6 m cruising boat in sheet plywood, built upside down in a cold shed.",
            time_zone=ZONE,
            currency="EUR",
            demo=True,
        )
        self.now = timezone.now().astimezone(self.build.zone)
        self.today = self.now.date()
        self.tasks: dict[str, Task] = {}
        self.materials: dict[str, Material] = {}
        self.suppliers: dict[str, Supplier] = {}

    def ago(self, number: int) -> dt.date:
        return self.today - dt.timedelta(days=number)

    def at(self, day: dt.date, hour: float) -> dt.datetime:
        minute = round(hour * 60)
        moment = dt.datetime.combine(day, dt.time(minute // 60, minute % 60), self.build.zone)
        return min(moment, self.now)

    def load(self) -> Build:
        self.build.started = self.ago(days.MONTHS_BACK)
        self.build.save()
        self._hours()
        self._plan()
        self._shelf()
        self._purchases()
        self._work_and_log()
        self._photos()
        self._supporters()
        fill_shed(self.build, self.tasks, self.today, HELPER)
        self.build.touch_plan()
        self.build.touch_books()
        tell_history(self.build)
        return self.build

    def _hours(self) -> None:
        ShopHours.objects.bulk_create(
            ShopHours(
                build=self.build,
                weekday=weekday,
                start_minute=round(start * 60),
                end_minute=round((start + length) * 60),
            )
            for weekday, (start, length) in days.WEEK.items()
        )
        away = [(*span, "away") for span in days.AWAY]
        away.append((-24, -31, "family"))
        DayOff.objects.bulk_create(
            DayOff(build=self.build, first=self.ago(first), last=self.ago(last), reason=reason)
            for first, last, reason in away
        )

    def _plan(self) -> None:
        stages: dict[str, Stage] = {}
        for order, row in enumerate(plan.TASKS):
            if row.stage not in stages:
                stages[row.stage] = Stage.objects.create(
                    build=self.build,
                    name=row.stage,
                    order=len(stages),
                    work_kind=SORT_OF_STAGE.get(row.stage, WorkKind.FITTING),
                )
            low, likely, high = (round(hours * 60) for hours in row.hours)
            self.tasks[row.code] = Task.objects.create(
                build=self.build,
                stage=stages[row.stage],
                code=row.code,
                name=row.name,
                order=order,
                low_minutes=low,
                likely_minutes=likely,
                high_minutes=high,
                hands=row.hands,
                unbroken=row.unbroken,
                cure_minutes=row.cure * 60,
                notes=row.notes,
                work_kind=sort_of_task(row.name),
            )
        other = {(before, after) for before, after, *_ in plan.OTHER_LINKS}
        links = [
            Link(build=self.build, before=self.tasks[before], after=self.tasks[row.code])
            for row in plan.TASKS
            for before in row.after
            if (before, row.code) not in other
        ]
        links += [
            Link(
                build=self.build,
                before=self.tasks[before],
                after=self.tasks[after],
                kind=kind,
                lag_minutes=lag * 60,
                lag_in=lag_in,
            )
            for before, after, kind, lag, lag_in in plan.OTHER_LINKS
        ]
        Link.objects.bulk_create(links)

    def _shelf(self) -> None:
        for name, lead, freight, tax in shelf.SUPPLIERS:
            self.suppliers[name] = Supplier.objects.create(
                build=self.build,
                name=name,
                lead_days=lead,
                freight_percent=freight,
                tax_percent=tax,
            )
        for row in shelf.MATERIALS:
            length, width, thickness = row.size
            material = Material.objects.create(
                build=self.build,
                name=row.name,
                kind=row.kind,
                unit=row.unit,
                length_mm=length,
                width_mm=width,
                thickness_mm=thickness,
                density=row.density,
                areal_weight=row.areal,
                coverage=row.coverage,
                pack=Decimal(str(row.pack)),
                waste_percent=row.waste,
                cost_kind=row.money,
                supplier=self.suppliers[row.supplier],
            )
            self.materials[row.name] = material
            Price.objects.bulk_create(
                Price(
                    material=material,
                    supplier=material.supplier,
                    day=self.ago(ago),
                    net=Decimal(net),
                    currency="EUR",
                )
                for ago, net in row.prices
            )
        Part.objects.bulk_create(
            Part(
                build=self.build,
                name=row.name,
                task=self.tasks[row.task],
                material=self.materials[row.material],
                count=row.count,
                mirrored=row.mirrored,
                length_mm=_mm(row.size[0]) if row.size else None,
                width_mm=_mm(row.size[1]) if row.size else None,
                quantity=None if row.amount is None else Decimal(str(row.amount)),
                layers=row.layers,
                scarf_ratio=row.scarf,
                grain=row.grain,
            )
            for row in shelf.PARTS
        )

    def _purchases(self) -> None:
        prices = {row.name: row.prices for row in shelf.MATERIALS}
        for row in purchases.PURCHASES:
            supplier = self.suppliers[row.supplier]
            day = self.ago(row.days_ago)
            lines = []
            for what, count, each in row.lines:
                material = self.materials.get(what)
                asked = [net for ago, net in prices.get(what, ()) if ago >= row.days_ago]
                asked = asked or [net for _, net in prices.get(what, ())[:1]]
                one = asked[-1] if each is None else str(each)
                net = Decimal(one) * Decimal(str(count))
                tax = (net * Decimal(supplier.tax_percent or 0) / 100).quantize(Decimal("0.01"))
                lines.append(
                    PurchaseLine(
                        material=material,
                        what="" if material else what,
                        quantity=Decimal(str(count)),
                        net=net,
                        tax=tax,
                        cost_kind=material.cost_kind if material else row.money,
                    )
                )
            purchase = Purchase(
                build=self.build,
                supplier=supplier,
                receipt_number=row.number,
                ordered_on=day,
                paid_on=day if row.paid else None,
                arrived_on=min(day + dt.timedelta(days=6), self.today) if row.arrived else None,
                currency=row.currency,
                rate=Decimal(str(row.rate)),
                rate_day=day if row.rate != 1 else None,
                freight=Decimal(str(row.freight)),
            )
            record_purchase(purchase, lines, None)
        StandingCost.objects.bulk_create(
            StandingCost(build=self.build, name=name, a_month=amount, first=self.ago(first))
            for name, amount, first in purchases.STANDING
        )
        Budget.objects.create(build=self.build, contingency_percent=10)

    def _work_and_log(self) -> None:
        """Hours, starts and finishes from the told sessions, the use of material, the entries."""
        told = days.sessions(self.today)
        wobble = random.Random(7)  # noqa: S311 (a thermometer)
        texts = {row.code: list(row.log) for row in plan.TASKS}
        between = list(log.BETWEEN)
        by_day: dict[dt.date, list[days.Session]] = defaultdict(list)
        for session in told:
            by_day[session.day].append(session)
        left = {code: sum(1 for s in told if s.task.code == code) for code in self.tasks}
        for day, rows in sorted(by_day.items()):
            lines, tasks, works = [], [], []
            for session in rows:
                task = self.tasks[session.task.code]
                works += self._work(task, session)
                self._mark(task, session)
                tasks.append(task)
                own = texts[session.task.code]
                due = len(own) >= left[session.task.code]
                if own and (due or wobble.random() < 0.6):
                    lines.append(own.pop(0))
                left[session.task.code] -= 1
            if not lines:
                lines.append(between.pop(0) if between else log.went_on(rows[0].task.name, wobble))
            self._entry(day, lines, tasks, works, wobble)
        for name, counted, ago in purchases.COUNTS:
            count_stock(
                self.materials[name], Decimal(str(counted)), self.ago(ago), None,
                "counted on the shelf",
            )  # fmt: skip

    def _work(self, task: Task, session: days.Session) -> list[Work]:
        names = [BUILDER, HELPER, *(f"Helper {n}" for n in range(2, task.hands))]
        return [
            Work.objects.create(
                build=self.build,
                task=task,
                who=name,
                day=session.day,
                minutes=session.minutes,
            )
            for n, name in enumerate(names[: task.hands])
        ]

    def _mark(self, task: Task, session: days.Session) -> None:
        if session.first:
            task.started_at = self.at(session.day, session.start_hour)
        if session.last:
            task.finished_at = self.at(session.day, session.start_hour + session.minutes / 60)
            StockMove.objects.bulk_create(
                StockMove(
                    build=self.build,
                    material=use.material,
                    day=session.day,
                    kind=StockMove.Kind.USED,
                    quantity=-use.amount,
                    task=task,
                )
                for use in use_for(task)
            )
        if session.first or session.last:
            task.save()

    def _entry(self, day, lines, tasks, works, wobble: random.Random) -> None:
        air = log.SHED_AIR[day.month - 1] + wobble.uniform(-3, 3)
        entry = Entry.objects.create(
            build=self.build,
            day=day,
            text="\n\n".join(lines),
            air_c=round(Decimal(air), 1),
            surface_c=round(Decimal(air - wobble.uniform(0.5, 2)), 1),
            humidity=round(Decimal(wobble.uniform(52, 78)), 0),
        )
        entry.tasks.set(set(tasks))
        entry.work.set(works)

    def _photos(self) -> None:
        """Sixty drawings, spread over the entries of the stages that they show."""
        steps = {
            "lines": "Lofting",
            "strongback": "Strongback",
            "frames": "Frames",
            "bulkheads": "Bulkheads",
            "keelson": "Keelson",
            "stiffeners": "Stiffeners",
        }
        number = 0
        for story, stage_name in steps.items():
            entries = list(
                self.build.entries.filter(tasks__stage__name=stage_name).distinct().order_by("day")
            )
            for n in range(10):
                entry = entries[n * len(entries) // 10]
                taken = self.at(entry.day, 11.2 + n / 10)
                taken += dt.timedelta(seconds=n)
                data = pictures.photo(story, (n + 1) / 10, number, taken)
                number += 1
                upload = ContentFile(data, name=f"marram-{number:03}.jpg")
                task = entry.tasks.filter(stage__name=stage_name)[0]
                place = Place(stage=task.stage, tasks=(task,), entry=entry)
                take_in(self.build, None, upload, place)
                Photo.objects.filter(build=self.build, file__name=upload.name).update(
                    caption=f"{stage_name}, {task.name[0].lower()}{task.name[1:]}"
                )

    def _supporters(self) -> None:
        chooser = random.Random(40)  # noqa: S311
        for n, name in enumerate(people.SUPPORTERS):
            since = self.ago(400 - n * 9)
            supporter = Supporter.objects.create(
                build=self.build, name=name, agreed=n % 5 != 3, since=since
            )
            for month in range(chooser.randrange(1, 8)):
                day = since + dt.timedelta(days=30 * month)
                if day <= self.today:
                    Contribution.objects.create(
                        supporter=supporter, day=day, amount=chooser.choice((5, 10, 10, 20, 50))
                    )
        page = PublicPage.objects.create(
            build=self.build,
            address=f"{self.build.slug}-{random.SystemRandom().getrandbits(40):010x}",
            intro=(
                "Marram is 7.6 metres of plywood, fir and epoxy, built by one person in a cold "
                "shed. This page is for those who help."
            ),
        )
        self._show(self.ago(396), page=page)
        photos = list(self.build.photos.order_by("taken_at"))
        for ago, title, step, text, shown in people.UPDATES:
            update = Update.objects.create(
                build=self.build, title=title, text=text, day=self.ago(ago)
            )
            update.photos.set(photos[step * 10 + 6 : step * 10 + 9])
            if shown:
                self._show(self.ago(ago), update=update)

    def _show(self, day: dt.date, **what) -> None:
        Showing.objects.create(build=self.build, shown=True, at=self.at(day, 20), **what)


def _mm(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))
