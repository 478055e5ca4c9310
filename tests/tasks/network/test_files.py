from __future__ import annotations

import copy
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from tasks.network import BadInput, LagIn, LinkKind, schedule
from tasks.network.files import as_clock, as_moment, read_network, write_schedule

NETWORK = {
    "now": "2026-03-27T20:00:00+00:00",
    "calendar": {
        "zone": "Europe/London",
        "week": {
            "friday": [["18:00", "21:00"]],
            "sunday": [["09:00", "12:00"], ["13:00", "24:00"]],
        },
        "days_off": ["2026-04-05"],
    },
    "tasks": [
        {"id": "cut", "minutes": 120, "started": "2026-03-20T18:00:00+00:00", "left": 90},
        {"id": "glue", "minutes": 180, "cure": 720, "unbroken": True},
        {"id": "fair", "minutes": 60, "not_before": "2026-04-12T13:00:00+01:00"},
    ],
    "links": [
        {"before": "cut", "after": "glue"},
        {
            "before": "glue",
            "after": "fair",
            "kind": "start-start",
            "lag": 24,
            "lag_in": "elapsed",
            "waits_for_cure": False,
        },
    ],
}


class TestReadNetwork:
    def test_everything_in_the_file_is_read(self) -> None:
        network = read_network(NETWORK)
        cut, glue, fair = network.tasks
        assert as_moment(network.now) == datetime(2026, 3, 27, 20, tzinfo=UTC)
        assert (cut.left, as_moment(cut.started or 0).day) == (90, 20)
        assert (glue.cure, glue.unbroken) == (720, True)
        assert as_moment(fair.not_before or 0).hour == 12
        link = network.links[1]
        assert (link.kind, link.lag, link.lag_in) == (LinkKind.SS, 24, LagIn.ELAPSED)
        assert not link.waits_for_cure
        assert network.calendar.zone == ZoneInfo("Europe/London")

    def test_bare_list_of_tasks_is_a_network_without_shop_hours(self) -> None:
        network = read_network({"tasks": [{"id": 1, "minutes": 5}]})
        assert schedule(network.tasks, network.links, network.calendar, network.now).launch == 5

    @pytest.mark.parametrize(
        ("path", "value", "says"),
        [
            (["tasks"], {}, "tasks must be a list"),
            (["tasks", 0], 5, "task number 1 must be an object"),
            (["tasks", 0, "minutes"], "90", "task cut: minutes must be whole minutes"),
            (["tasks", 0, "started"], "2026-03-20", "task cut: started needs an offset"),
            (["tasks", 0, "started"], "yesterday", "task cut: started must be a time"),
            (["tasks", 1, "unbroken"], "yes", "task glue: unbroken must be true or false"),
            (["tasks", 1, "cures"], 5, "unknown key, 'cures'"),
            (["tasks", 1, "id"], ["glue"], "an id must be"),
            (["links", 0, "before"], None, "link number 1: before must name a task"),
            (["links", 0, "kind"], "FS", "cut -> glue: kind must be one of finish-start"),
            (["links", 0, "lag_in"], "days", "lag_in must be one of shop, elapsed"),
            (["links", 0, "waits_for_cure"], 1, "waits_for_cure must be true or false"),
            (["links", 0, "after"], "cut", "task cut is linked to itself"),
            (["now"], 5, "now must be a time"),
            (["calendar"], "weekends", "calendar must be an object"),
            (["calendar", "zone"], None, "zone must be"),
            (["calendar", "zone"], "Europe/Atlantis", "no time zone"),
            (["calendar", "week"], [], "week must be an object"),
            (["calendar", "week", "friday"], [["18:00"]], "friday: a stretch must be a pair"),
            (["calendar", "week", "friday"], [["6pm", "21:00"]], "friday: a time"),
            (["calendar", "week", "friday"], [["18:00", "25:00"]], "1080 to 1500"),
            (["calendar", "week", "Friday"], [], "unknown key, 'Friday'"),
            (["calendar", "days_off"], ["5 April"], "no such date: '5 April'"),
        ],
    )
    def test_fault_is_told_by_place_and_rule(self, path, value, says) -> None:
        content = copy.deepcopy(NETWORK)
        place = content
        for step in path[:-1]:
            place = place[step]  # type: ignore[index]
        place[path[-1]] = value  # type: ignore[index]
        with pytest.raises(BadInput, match=says):
            read_network(content)

    @pytest.mark.parametrize("missing", ["now", "tasks"])
    def test_what_must_be_there_is_missed(self, missing) -> None:
        content = {key: value for key, value in NETWORK.items() if key != missing}
        with pytest.raises(BadInput, match=missing):
            read_network(content)


class TestWriteSchedule:
    def test_instants_carry_the_offset_of_their_day(self) -> None:
        network = read_network(NETWORK)
        plan = schedule(network.tasks, network.links, network.calendar, network.now)
        written = write_schedule(plan, network.calendar.zone)
        cut, glue, fair = written["tasks"]
        # 60 minutes are left of Friday evening, in winter time; then clocks go forward.
        assert cut["early_finish"] == "2026-03-29T09:30:00+01:00"
        assert glue["early_start"] == "2026-03-29T13:00:00+01:00"
        assert fair["early_start"] == "2026-04-12T13:00:00+01:00"
        assert written["launch"] == "2026-04-12T14:00:00+01:00"
        assert written["critical_path"] == ["fair"]
        assert cut["late_start"] == "2026-03-20T18:00:00+00:00"
        assert fair["total_float"] == 0 and glue["total_float"] > 0


class TestClock:
    def test_moments_and_clock_minutes_are_each_others_reverse(self) -> None:
        moment = datetime(2026, 7, 1, 9, 30, tzinfo=ZoneInfo("America/New_York"))
        assert as_moment(as_clock(moment), moment.tzinfo or UTC) == moment  # type: ignore[arg-type]
