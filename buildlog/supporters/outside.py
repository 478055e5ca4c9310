"""What outsiders see, put together once for the page, its preview and the feed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from django.db.models import Exists, OuterRef, Prefetch, QuerySet, Sum

from buildlog.journal.models import Photo, Rendition
from buildlog.supporters.models import PublicPage, Supporter, Update
from buildlog.supporters.showing import photos_outside, photos_shown_alone, shown_updates
from tasks.models import Work
from tasks.plan import Plan, State, TaskPlan, plan_of

LATELY = 5
MIDDLING = 800  # pixels along the long side
NEXT = 5
#: Where an update of `updates_outside` has those of its photos that outsiders may see.
_SEEN = "seen_photos"


@dataclass
class StageProgress:
    """How far a stage is, in people-minutes of its likely estimates."""

    name: str
    all_minutes: int = 0
    done_minutes: int = 0
    begun: bool = False
    states: set[State] = field(default_factory=set)

    @property
    def done(self) -> bool:
        """Nothing of it is left to do, though some of it may still cure."""
        return self.states <= {State.DONE, State.CURING, State.LEFT_OUT}

    @property
    def percent(self) -> int:
        """Whole percent: never 100 before it is done, nor 0 once begun."""
        if self.done:
            return 100
        part = self.done_minutes / self.all_minutes if self.all_minutes else 0
        return min(99, max(1 if self.begun else 0, round(part * 100)))


@dataclass
class Progress:
    stages: list[StageProgress]
    whole: StageProgress
    lately: list[TaskPlan]
    in_hand: list[TaskPlan]
    next: list[TaskPlan]


def progress_of(plan: Plan) -> Progress:
    """How far each stage and the whole build are, and what was done lately, is in hand, is next."""
    stages = {stage.pk: StageProgress(stage.name) for stage in plan.stages}
    whole = StageProgress(plan.build.name)
    of_state: dict[State, list[TaskPlan]] = {state: [] for state in State}
    for task in plan.tasks.values():
        of_state[task.state].append(task)
        if task.state == State.LEFT_OUT:
            continue
        likely = task.task.likely_minutes
        done = likely - min(task.left_minutes, likely)
        for stage in (stages[task.task.stage_id], whole):
            stage.all_minutes += likely
            stage.done_minutes += done
            stage.begun |= task.task.started_at is not None
            stage.states.add(task.state)
    finished = of_state[State.DONE] + of_state[State.CURING]
    finished.sort(key=lambda task: task.figures.early_finish, reverse=True)
    return Progress(
        stages=[stage for stage in stages.values() if stage.states],
        whole=whole,
        lately=finished[:LATELY],
        in_hand=of_state[State.IN_HAND][:NEXT],
        next=sorted(
            of_state[State.READY] + of_state[State.WAITING],
            key=lambda task: task.figures.early_start,
        )[:NEXT],
    )


def hours_worked(page: PublicPage) -> int:
    """Whole hours logged on the build so far."""
    minutes = Work.objects.filter(build=page.build, minutes__isnull=False)
    return (minutes.aggregate(all=Sum("minutes"))["all"] or 0) // 60


def progress_outside(page: PublicPage, now: dt.datetime | None = None) -> Progress | None:
    return progress_of(plan_of(page.build, now)) if page.shows_tasks else None


def names_outside(page: PublicPage) -> list[str]:
    """Whom to thank: those who agreed, as they wish to be named."""
    if not page.shows_names:
        return []
    named = Supporter.objects.filter(build=page.build).named_in_public()
    return [supporter.public_name for supporter in named]


def ready(photos: QuerySet[Photo]) -> QuerySet[Photo]:
    """Photos whose copies are made, with them at hand. An original is never shown outside."""
    made = Rendition.objects.filter(photo=OuterRef("pk"))
    return photos.filter(Exists(made)).prefetch_related("renditions")


def updates_outside(page: PublicPage) -> QuerySet[Update]:
    """The updates outsiders may read, each with the photos of it that they may see."""
    photos = ready(photos_outside(page.build)).order_by("taken_at", "pk")
    return shown_updates(page.build).prefetch_related(
        Prefetch("photos", queryset=photos, to_attr=_SEEN)
    )


def photos_alone(page: PublicPage) -> QuerySet[Photo]:
    return ready(photos_shown_alone(page.build))


Link = Callable[..., str]  # link("photo", 3, 800) gives the address of a view of the page


@dataclass(frozen=True)
class Picture:
    """A photo as a template wants it: the copies' addresses, the size, what it shows."""

    pk: int
    page: str
    src: str
    srcset: str
    width: int
    height: int
    caption: str


def picture_of(photo: Photo, link: Link) -> Picture:
    """The photo by its copies, which are at hand: a middling one, and the others to choose from."""
    copies = sorted(photo.renditions.all(), key=lambda copy: copy.long_side)
    middling = next((copy for copy in copies if copy.long_side >= MIDDLING), copies[-1])

    def at(copy: Rendition) -> str:
        return link("photo-file", photo.pk, copy.long_side)

    return Picture(
        pk=photo.pk,
        page=link("photo", photo.pk),
        src=at(middling),
        srcset=", ".join(f"{at(copy)} {copy.width}w" for copy in copies),
        width=middling.width,
        height=middling.height,
        caption=photo.caption,
    )


def with_pictures(updates: Iterable[Update], link: Link) -> list[Update]:
    """The updates, each with its `pictures`."""
    found = list(updates)
    for update in found:
        update.pictures = [picture_of(photo, link) for photo in getattr(update, _SEEN)]
    return found
