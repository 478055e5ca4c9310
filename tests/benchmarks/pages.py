"""Every address of the project that can be asked for, filled in from a scenario."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.lists.kinds import KINDS
from buildlog.lists.taking import FORMS
from buildlog.money.behind import BEHIND
from tasks.views.shed import SORTS
from tests.addresses import every_address
from tests.benchmarks.scenario import Scenario

#: What else pages can be asked for, by the name of the address. `{one}` is the known row.
ASKED: dict[str, list[str]] = {
    "front": ["all"],
    "plan": ["open=all", "span=all&open=all", "span=52", "hands=endless", "as=table", "fresh=yes"],
    "plan-network": ["open=all", "open=all&done=yes", "as=table"],
    "plan-pdf": ["paper=a3"],
    "network-pdf": ["paper=a3"],
    "changes": ["all=yes", "since=month"],
    "plan-list": [
        "page=2", "stage={one}", "state=waiting", "state=critical", "state=done", "words=piece+7",
    ],
    "launch": ["all=yes", "moves=all"],
    "try-move": [
        "sort=evening&weekday=0&hours=5-6", "sort=helper&hands=1&weekday=5",
        "sort=heating&first={ahead}&a_month=90", "sort=left-out&stage={last_stage}",
        "sort=bought-in&tasks=T{last}&price=90&with_material=on",
    ],
    "new-task": ["stage={one}"],
    "materials": ["kind=sheet", "only=short", "only=buy"],
    "parts": ["page=2", "stage={one}", "task={one}", "material={one}", "words=piece+7"],
    "part-new": ["task={one}", "material={one}"],
    "parts-new": ["task={one}"],
    "purchases": ["page=2", "only=open", "only=unpaid"],
    "purchase-new": ["supplier={one}"],
    "log": ["page=2", "stage={one}", "task=T{done}", "person={one}", "month={month}", "words=dry"],
    "log-new": ["task={one}"],
    "photos": ["page=2", "stage={one}", "task=T{done}", "month={month}"],
    "photos-add": ["task={one}", "entry={one}"],
    "photos-chosen": ["photo={one}", "all=1&stage={one}"],
    "photos-waiting": ["photo={one}"],
    "photo": ["stage={one}", "month={month}", "task=T{done}"],
    "supporters": ["page=2", "find=friend"],
    "updates": ["page=2"],
    "update-photos": ["stage={one}"],
    "shown-photos": ["stage={one}"],
    "money-rows": ["page=2"],
    "api-tasks-list": ["per=10&page=2", "per=500", "stage={one}"],
    "api-links-list": ["per=500", "before={one}"],
    "api-work-list": ["per=500", "task={one}"],
    "api-parts-list": ["per=500", "task={one}", "material={one}"],
    "api-prices-list": ["material={one}"],
    "api-stock-moves-list": ["per=500", "material={one}"],
    "api-purchases-list": ["per=500", "supplier={one}"],
    "api-entries-list": ["per=10&page=2", "per=500", "tasks={one}", "author={one}"],
    "api-photos-list": ["per=10&page=2", "per=500", "tasks={one}", "stage={one}"],
    "api-contributions-list": ["supporter={one}"],
    "outside:updates": ["page=2"],
    "outside:photos": ["page=2"],
}  # fmt: skip

#: Addresses that hold a token of their own.
BY_TOKEN = ("join", "first", "calendar-feed")


@dataclass(frozen=True)
class Asked:
    """An address as it is asked for: `what` names it alike in every scenario."""

    what: str
    name: str
    url: str


class Values(dict[str, list[object]]):
    """What a parameter of an address is filled in with, by its name."""

    def __init__(self, scenario: Scenario) -> None:
        super().__init__(
            slug=[scenario.build.slug],
            address=[f"page-{scenario.build.slug}"],
            pk=[scenario.one],
            token=[scenario.tokens[name] for name in BY_TOKEN],
            long_side=[320],
            sha256=[scenario.tokens["rendition"]],
            what=[*KINDS, "all"],
            kind=list(KINDS),
            form=list(FORMS),
            name=list(BEHIND),
            sort=list(SORTS),
        )


def asked_of(scenario: Scenario) -> list[Asked]:
    """Every address, and those of `ASKED` also with what they can be asked for."""
    words = {
        "one": scenario.one,
        "done": int(scenario.sizes.tasks * 0.3),
        "month": f"{scenario.day(20):%Y-%m}",
        "ahead": f"{scenario.day(-60):%Y-%m}",
        "last": scenario.sizes.tasks - 1,
        "last_stage": scenario.rows["stage"][-1].pk,
    }
    asked = []
    for address in every_address(Values(scenario)):
        if address.name in BY_TOKEN and scenario.tokens[address.name] not in address.url:
            continue
        plain = address.url.replace(scenario.build.slug, "…").replace(str(scenario.one), "1")
        for query in ["", *ASKED.get(address.name, ())]:
            query = f"?{query}" if query else ""
            url = address.url + query.format_map(words)
            asked.append(Asked(f"{address.name} {plain}{query}", address.name, url))
    for look in [one for one in asked if one.name == "list-look"]:
        for n in range(1, len(KINDS)):  # each kind of list is read in its own way
            url = look.url.replace(f"/{scenario.one}/", f"/{scenario.one + n}/")
            asked.append(Asked(f"{look.what}, list {n}", "list-look", url))
    return asked
