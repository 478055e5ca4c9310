from __future__ import annotations

import json

import pytest

from tasks.network.__main__ import main

TASKS = [
    {"id": "cut", "minutes": 90, "low": 60, "likely": 90, "high": 200, "kind": "cutting"},
    {"id": "fit", "minutes": 30, "cure": 100},
]
CONTENT = {
    "now": "2026-01-05T12:00:00+00:00",
    "calendar": {"zone": "UTC", "week": {"monday": [["18:00", "21:00"]]}},
    "tasks": TASKS,
    "links": [{"before": "cut", "after": "fit"}],
    "wished": "2026-01-05T23:00:00+00:00",
}
RECORD = {
    "jobs": [{"kind": "cutting", "low": 60, "likely": 90, "high": 180, "actual": 150}] * 3,
    "weeks": [{"pattern": 3, "worked": 2}],
}


def told(tmp_path, capsys, content, *options: str) -> dict:
    file = tmp_path / "build.json"
    file.write_text(json.dumps(content), encoding="utf-8")
    assert main([str(file), "--forecast", "--runs", "500", *options]) == 0
    return json.loads(capsys.readouterr().out)


class TestCommand:
    def test_launch_is_told_as_a_distribution(self, tmp_path, capsys) -> None:
        found = told(tmp_path, capsys, CONTENT)
        assert found["runs"] == 500
        assert found["p10"] < found["p50"] <= found["p90"] and found["p10"] > "2026-01-05T21"
        assert 0.5 < found["chance"] < 1
        assert [task["id"] for task in found["tasks"]] == ["cut", "fit"]
        assert found["tasks"][0]["spread"] == 1
        assert sum(week["runs"] for week in found["weeks"]) == 500
        assert "record" not in found

    def test_a_record_corrects_the_guesses(self, tmp_path, capsys) -> None:
        found = told(tmp_path, capsys, CONTENT | {"record": RECORD})
        assert found["record"]["kinds"]["cutting"]["jobs"] == 3
        assert 1.1 < found["record"]["kinds"]["cutting"]["factor"] < 1.6
        assert found["record"]["pace"]["weeks"] == 1
        assert found["p90"] > told(tmp_path, capsys, CONTENT)["p90"]

    def test_seed_makes_it_the_same_again(self, tmp_path, capsys) -> None:
        one, same, other = (
            told(tmp_path, capsys, CONTENT, "--seed", seed) for seed in ("1", "1", "2")
        )
        assert one == same != other

    @pytest.mark.parametrize(
        ("more", "says"),
        [
            ({"tasks": [TASKS[1] | {"low": 5}]}, "likely must be a number"),
            ({"tasks": [TASKS[0] | {"high": 10}], "links": []}, "low <= likely <= high"),
            ({"tasks": [TASKS[0] | {"kind": 3}]}, "kind must be a word"),
            ({"wished": "tomorrow"}, "ISO 8601"),
            ({"wished": "2026-01-05T23:00"}, "offset"),
            ({"record": []}, "record must be an object"),
            ({"record": {"jobs": 3}}, "must be a list"),
            ({"record": {"jobs": [{"kind": "x", "low": 1}]}}, "job 1: likely"),
            ({"record": {"weeks": [{"pattern": 3, "done": 2}]}}, "unknown key"),
            ({"record": {"weeks": [{"pattern": -3, "worked": 2}]}}, "negative"),
            ({"instances": [{"name": "a", "duration": [1], "successors": [[]]}]}, "no guesses"),
        ],
    )
    def test_bad_file_is_told_in_one_line_with_status_2(self, more, says, tmp_path, capsys) -> None:
        file = tmp_path / "bad.json"
        file.write_text(json.dumps(more if "instances" in more else CONTENT | more))
        assert main([str(file), "--forecast"]) == 2
        error = capsys.readouterr().err
        assert error.count("\n") == 1 and says in error

    def test_no_runs_are_refused(self, tmp_path, capsys) -> None:
        file = tmp_path / "build.json"
        file.write_text(json.dumps(CONTENT))
        assert main([str(file), "--forecast", "--runs", "0"]) == 2
        assert "at least one run" in capsys.readouterr().err
