from __future__ import annotations

import pytest

from tasks.network import BadFile
from tasks.network.research import critical_path_length, instances, is_research

DIAMOND = {"name": "x", "duration": [0, 3, 4, 0], "successors": [[2, 3], [4], [4], []]}


class TestResearch:
    def test_file_is_known_by_its_instances(self) -> None:
        assert is_research({"family": "j30", "instances": []})
        assert not is_research({"tasks": []})
        assert not is_research([])

    def test_length_is_that_of_the_longest_path(self) -> None:
        assert critical_path_length(DIAMOND) == 4

    @pytest.mark.parametrize(
        ("change", "says"),
        [
            ({"successors": [[2, 3], [4], [4]]}, "x: 4 durations, but 3 rows"),
            ({"duration": None}, "x: duration and successors must be lists"),
            ({"duration": [0, -3, 4, 0]}, "x: task 2: minutes"),
            ({"successors": [[2, 3], [4], [9], []]}, "x: .*no task 9"),
            ({"successors": [[2, 3], [4], [1], []]}, "x: .*1 -> 3 -> 1"),
            ({"successors": [[2, 3], 4, [4], []]}, "x: "),
        ],
    )
    def test_bad_instance_is_told_by_name(self, change, says) -> None:
        with pytest.raises(BadFile, match=says):
            critical_path_length(DIAMOND | change)

    def test_instances_must_have_names(self) -> None:
        with pytest.raises(BadFile, match="instance 2 has no name"):
            list(instances({"instances": [DIAMOND, {}]}))
