"""What a scenario shows outside, who gives, who is asked in, what comes in and is being done."""

from __future__ import annotations

import datetime as dt
import hashlib

from buildlog.along.models import CalendarAddress
from buildlog.background.models import Job
from buildlog.door.models import ApiToken, FirstLink, Invitation, hashed
from buildlog.lists.kinds import KINDS
from buildlog.lists.models import Upload
from buildlog.lists.taking import csv_of
from buildlog.supporters.models import Contribution, PublicPage, Showing, Supporter, Update
from tests.benchmarks.scenario import Scenario

PHOTOS_AN_UPDATE = 5


def fill(scenario: Scenario) -> None:
    _supporters(scenario)
    _public_page(scenario)
    _door(scenario)
    _jobs(scenario)
    _lists(scenario)


def _supporters(scenario: Scenario) -> None:
    build, sizes = scenario.build, scenario.sizes
    scenario.add(
        [
            Supporter(
                build=build, name=f"Friend {n:04}", agreed=n % 3 > 0, since=scenario.day(n + 1),
                email=f"friend{n}@mail.example",
            )
            for n in range(sizes.supporters)
        ]
    )  # fmt: skip
    scenario.add(
        [
            Contribution(
                supporter=scenario.often_one(n, "supporter"), day=scenario.day(n % 700),
                amount=10 + n % 90,
            )
            for n in range(sizes.contributions)
        ]
    )  # fmt: skip


def _public_page(scenario: Scenario) -> None:
    """The page is on; half of the updates are shown, the known one with many photos."""
    build, sizes = scenario.build, scenario.sizes
    page = PublicPage.objects.create(
        build=build, pk=scenario.one, address=f"page-{build.slug}", intro="Hello.",
        shows_task_names=True,
    )  # fmt: skip
    updates = scenario.add(
        [
            Update(
                build=build, title=f"What we did, {n}", day=scenario.day(7 * n + 1),
                text="Two more frames stand on the strongback.\n\n" * 6,
            )
            for n in range(sizes.updates)
        ]
    )  # fmt: skip
    through, photos = Update.photos.through, scenario.rows["photo"]
    pairs = {(0, n) for n in range(sizes.on_one)}
    pairs |= {(n, (n * PHOTOS_AN_UPDATE + k) % len(photos)) for n in range(sizes.updates)
              for k in range(PHOTOS_AN_UPDATE)}  # fmt: skip
    through.objects.bulk_create(
        through(update_id=updates[update].pk, photo_id=photos[photo].pk)
        for update, photo in sorted(pairs)
    )
    shown = [{"page": page}]
    shown += [{"update": update} for update in updates[::2]]
    shown += [{"photo": photo} for photo in photos[: max(3, len(photos) // 20)]]
    scenario.add(
        [
            Showing(
                build=build, shown=True, by=scenario.owner,
                at=scenario.now - dt.timedelta(hours=n + 1), **what,
            )
            for n, what in enumerate(shown)
        ]
    )  # fmt: skip


def _door(scenario: Scenario) -> None:
    """An open link of each kind; the keys of the owner's scripts."""
    slug, on_one = scenario.build.slug, scenario.sizes.on_one
    scenario.tokens |= {"join": f"join-{slug}", "first": f"first-{slug}"}
    scenario.add(
        [
            Invitation(
                build=scenario.build, note=f"Friend {n}", made_by=scenario.owner,
                token_hash=hashed(f"join-{slug}" if n == 0 else f"join-{slug}-{n}"),
                expires_at=scenario.now + dt.timedelta(days=14),
            )
            for n in range(on_one)
        ]
    )  # fmt: skip
    scenario.add(
        [
            ApiToken(
                person=scenario.owner, name=f"Script {n}",
                token_hash=hashlib.sha256(f"{slug}-{n}".encode()).hexdigest(),
            )
            for n in range(on_one)
        ]
    )  # fmt: skip
    FirstLink.objects.create(token_hash=hashed(f"first-{slug}"))
    scenario.tokens["calendar-feed"] = f"calendar-{slug}"
    CalendarAddress.objects.create(
        crew=scenario.build.crew.get(person=scenario.owner),
        token_hash=hashed(f"calendar-{slug}"),
        made_at=scenario.now,
    )


def _jobs(scenario: Scenario) -> None:
    """The known one is under way; a fifth of the others has failed."""
    states = [*[Job.State.DONE] * 4, Job.State.FAILED]
    build, count = scenario.build, scenario.sizes.jobs
    scenario.add(
        [
            Job(
                build=build, kind="photo-renditions", key=f"old-{build.slug}-{n}",
                state=Job.State.RUNNING if n < count // 4 else states[n % 5],
                lease_until=scenario.now + dt.timedelta(days=1),
                ended_at=None if n < count // 4 else scenario.now - dt.timedelta(minutes=n),
                person=scenario.owner,
            )
            for n in range(count)
        ]
    )  # fmt: skip


def _lists(scenario: Scenario) -> None:
    """The build's own lists once more, not brought in yet: the known one is that of the tasks."""
    kinds = sorted(KINDS.values(), key=lambda kind: kind.key != "tasks")
    uploads = []
    for n, kind in enumerate(kinds):
        content = csv_of(scenario.build, kind, money=True)
        headings = content.decode("utf-8-sig").split("\n", 1)[0].strip()
        uploads.append(
            Upload(
                build=scenario.build,
                pk=scenario.one + n,
                person=scenario.owner,
                kind=kind.key,
                name=f"{kind.key}.csv",
                content=content,
                headings=headings,
            )
        )
    scenario.add(uploads)
