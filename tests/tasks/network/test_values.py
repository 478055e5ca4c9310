from __future__ import annotations

import pytest

from tasks.network import BadValue, Link, SelfLink, Task


class TestTask:
    @pytest.mark.parametrize(
        ("values", "says"),
        [
            ({"minutes": -1}, "minutes"),
            ({"minutes": 1.5}, "whole minutes"),
            ({"minutes": True}, "whole minutes"),
            ({"minutes": 10**10}, "minutes"),
            ({"minutes": 1, "cure": -1}, "cure"),
            ({"minutes": 1, "cure": None}, "cure"),
            ({"minutes": 1, "left": -1}, "left"),
            ({"minutes": 1, "started": "Monday"}, "started"),
            ({"minutes": 1, "started": 9, "finished": 8}, "finished before"),
            ({"minutes": 1, "id": None}, "an id"),
            ({"minutes": 1, "id": True}, "an id"),
        ],
    )
    def test_wrong_task_cannot_be_made(self, values, says) -> None:
        with pytest.raises(BadValue, match=says):
            Task(**({"id": "T1"} | values))

    def test_work_is_what_is_left(self) -> None:
        assert Task(1, 90).work == 90
        assert Task(1, 90, left=20).work == 20
        assert Task(1, 90, left=20, finished=5).work == 0


class TestLink:
    def test_link_to_itself_is_refused(self) -> None:
        with pytest.raises(SelfLink, match="task 4 "):
            Link(4, 4)

    @pytest.mark.parametrize(
        ("values", "says"),
        [
            ({"kind": "finish-start"}, "no such kind"),
            ({"lag_in": "hours"}, "no such lag"),
            ({"lag": 0.5}, "lag"),
            ({"lag": None}, "lag"),
        ],
    )
    def test_wrong_link_cannot_be_made(self, values, says) -> None:
        with pytest.raises(BadValue, match=says):
            Link(1, 2, **values)
