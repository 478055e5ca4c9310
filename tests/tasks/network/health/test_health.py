from __future__ import annotations

import pytest
from hypothesis import given, settings

from tasks.network import BadValue, Link, Task, UnknownTask
from tasks.network.health import (
    HOME_BUILD,
    PRACTICES,
    PUBLISHED,
    Key,
    Subject,
    Verdict,
    health_of,
)
from tests.tasks.network.examples import NOW, networks

from .subjects import chain, subject


def test_every_check_is_made_and_told_where_it_comes_from():
    health = health_of(subject(*chain("a", "b")))
    assert list(health.checks) == list(Key) == list(PUBLISHED)
    assert [PUBLISHED[key].point for key in list(Key)[:14]] == list(range(1, 15))
    assert {PUBLISHED[key].point for key in list(Key)[14:]} == {None}
    assert [practice.number for practice in health.practices] == list(range(1, 11))


def test_what_a_home_build_honestly_fails_is_information():
    tasks = [Task("long", 100), Task("short", 1)]
    checked = subject(tasks, resourced=())
    home, published = health_of(checked), health_of(checked, informs=())
    told = {Key.HIGH_FLOAT, Key.HIGH_DURATION, Key.RESOURCES}
    assert told == HOME_BUILD
    assert {home.checks[key].verdict for key in told} == {Verdict.INFORMATION}
    assert published.checks[Key.HIGH_FLOAT].verdict is Verdict.FAILS
    assert published.checks[Key.HIGH_DURATION].verdict is Verdict.FAILS
    assert published.checks[Key.RESOURCES].verdict is Verdict.INFORMATION  # no limit is set
    assert home.checks[Key.HIGH_FLOAT].count == published.checks[Key.HIGH_FLOAT].count


def test_a_practice_fails_with_any_of_its_checks():
    tasks, links = chain(*(f"t{n}" for n in range(40)))
    assert health_of(subject(tasks, links)).practices[1].verdict is Verdict.PASSES
    links[3] = Link("t3", "t4", lag=-1)
    assert health_of(subject(tasks, links)).practices[1].verdict is Verdict.FAILS
    assert health_of(subject(tasks, links)).practices[9].verdict is Verdict.CANNOT_TELL


def test_each_practice_rests_on_a_check():
    assert all(keys for _number, _name, keys in PRACTICES)


def test_a_subject_must_fit_together():
    tasks, links = chain("a", "b")
    with pytest.raises(BadValue, match="1 shop minute or more"):
        subject(tasks, links, day=0)
    plan = subject(tasks, links).plan
    with pytest.raises(UnknownTask):
        subject([*tasks, Task("c", 1)], links, plan=plan)
    with pytest.raises(UnknownTask):
        subject(tasks, [Link("a", "x")], plan=plan)


def test_no_tasks_can_be_told_nothing_of():
    verdicts = {check.verdict for check in health_of(subject([])).checks.values()}
    assert verdicts == {Verdict.CANNOT_TELL}


@settings(deadline=None)
@given(networks())
def test_faults_name_tasks_and_links_there_are_and_shares_add_up(network):
    tasks, links = network
    checked: Subject = subject(tasks, links, now=NOW)
    for check in health_of(checked).checks.values():
        for fault in check.faults:
            assert (fault.task in checked.by_id) != (fault.link is not None)
            assert fault.link is None or 0 <= fault.link < len(links)
        if check.base:
            assert check.share == check.count / check.base
