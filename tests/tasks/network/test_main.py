from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tasks.network.__main__ import main


def write(folder: Path, content: object) -> str:
    file = folder / "network.json"
    file.write_text(json.dumps(content), encoding="utf-8")
    return str(file)


class TestMain:
    def test_network_is_answered_by_its_dates(self, tmp_path, capsys) -> None:
        tasks = [{"id": "cut", "minutes": 90}, {"id": "fit", "minutes": 30}]
        links = [{"before": "cut", "after": "fit"}]
        assert main([write(tmp_path, {"tasks": tasks, "links": links})]) == 0
        answer = json.loads(capsys.readouterr().out)
        assert answer["launch"] == "1970-01-01T02:00:00+00:00"
        assert answer["critical_path"] == ["cut", "fit"]
        assert answer["tasks"][1]["driving"] == {"before": "cut", "kind": "finish-start"}

    def test_research_file_is_answered_by_one_line_an_instance(self, tmp_path, capsys) -> None:
        row = {"name": "a1", "duration": [0, 2, 0], "successors": [[2], [3], []]}
        assert main([write(tmp_path, {"instances": [row, row | {"name": "a2"}]})]) == 0
        lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert lines == [
            {"name": "a1", "critical_path": 2},
            {"name": "a2", "critical_path": 2},
        ]

    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"not json", "is not JSON"),
            (b"\xff\xfe\x00", "not text in UTF-8"),
            (b"[" * 100_000, "is not JSON"),
            (b"[]", "must be an object"),
            (b'{"tasks": [{"id": 1, "minutes": 1}, {"id": 1, "minutes": 1}]}', "two tasks"),
            (
                b'{"now": "2026-01-01T00:00Z", "calendar": {"zone": "UTC", "week": {}}, '
                b'"tasks": [{"id": 1, "minutes": 1}]}',
                "no shop hours",
            ),
        ],
    )
    def test_bad_file_is_told_in_one_line_with_status_2(
        self, content, says, tmp_path, capsys
    ) -> None:
        file = tmp_path / "bad.json"
        file.write_bytes(content)
        assert main([str(file)]) == 2
        told = capsys.readouterr()
        assert told.out == ""
        assert told.err.count("\n") == 1
        assert str(file) in told.err and says in told.err

    def test_missing_file_is_told(self, tmp_path, capsys) -> None:
        assert main([str(tmp_path / "none.json")]) == 2
        assert "No such file" in capsys.readouterr().err

    def test_core_runs_without_any_framework(self, tmp_path) -> None:
        """The command in a process of its own, in which importing Django is an error."""
        code = (
            "import sys; sys.modules['django'] = None\n"
            "from tasks.network.__main__ import main; sys.exit(main())"
        )
        file = write(tmp_path, {"tasks": [{"id": 1, "minutes": 5}]})
        root = Path(__file__).resolve().parents[3]
        ran = subprocess.run(
            [sys.executable, "-c", code, file], cwd=root, capture_output=True, text=True, check=True
        )
        assert json.loads(ran.stdout)["launch"] == "1970-01-01T00:05:00+00:00"


class TestLimitedHands:
    def test_network_is_answered_by_its_plan(self, tmp_path, capsys) -> None:
        content = {
            "tasks": [
                {"id": "glue", "minutes": 10, "cure": 100, "needs": {"clamps": 2}},
                {"id": "sand", "minutes": 60},
            ],
            "capacities": {"hands": 1, "clamps": 3},
            "in_order": ["sand", "glue"],
        }
        assert main([write(tmp_path, content), "--hands", "--seconds", "0.01"]) == 0
        answer = json.loads(capsys.readouterr().out)
        assert answer["order"] == ["sand", "glue"]
        assert answer["launch"] == "1970-01-01T01:50:00+00:00"
        assert answer["problems"] == []

    def test_research_file_is_answered_by_one_line_an_instance(self, tmp_path, capsys) -> None:
        row = {
            "name": "a1",
            "duration": [0, 2, 3, 0],
            "successors": [[2, 3], [4], [4], []],
            "capacity": [1],
            "demand": [[0], [1], [1], [0]],
        }
        assert main([write(tmp_path, {"instances": [row, row | {"name": "a2"}]}), "--hands"]) == 0
        lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert [(line["name"], line["makespan"]) for line in lines] == [("a1", 5), ("a2", 5)]
        assert sorted(lines[0]["start"][1:3]) in ([0, 2], [0, 3])

    @pytest.mark.parametrize(
        ("content", "says"),
        [
            ({"instances": [{"name": "x", "duration": [1], "successors": [[]]}]}, "capacity"),
            (
                {
                    "instances": [
                        {
                            "name": "x",
                            "duration": [1],
                            "successors": [[]],
                            "capacity": [1],
                            "demand": [[1, 1]],
                        }
                    ]
                },
                "instance x",
            ),
            ({"tasks": [{"id": 1, "minutes": 1, "needs": {"tent": 1}}]}, "tent"),
            ({"tasks": [{"id": 1, "minutes": 1, "needs": {"hands": -1}}]}, "whole number"),
            ({"tasks": [{"id": 1, "minutes": 1}], "in_order": [2]}, "in_order"),
            ({"tasks": [{"id": 1, "minutes": 1, "hours": "warm"}]}, "warm"),
        ],
    )
    def test_bad_file_is_told_in_one_line_with_status_2(
        self, content, says, tmp_path, capsys
    ) -> None:
        assert main([write(tmp_path, content), "--hands"]) == 2
        told = capsys.readouterr()
        assert told.out == ""
        assert told.err.count("\n") == 1 and says in told.err

    @pytest.mark.parametrize("seconds", ["-1", "nan", "inf", "soon"])
    def test_seconds_that_cannot_be_are_refused(self, seconds, tmp_path, capsys) -> None:
        with pytest.raises(SystemExit) as ended:
            main([write(tmp_path, {"tasks": []}), "--hands", "--seconds", seconds])
        assert ended.value.code == 2
        assert "--seconds" in capsys.readouterr().err
