from __future__ import annotations

from tasks.network import Link, LinkKind, Task
from tasks.network.health import Check, How, Verdict
from tasks.network.health.logic import (
    hard_constraints,
    lags,
    leads,
    link_kinds,
    logic,
    loose_ends,
    out_of_order,
)

from .subjects import chain, subject


def parts(check: Check) -> tuple[int, int, Verdict]:
    return check.count, check.base, check.verdict


def at_fault(check: Check) -> dict:
    return {
        fault.link if fault.task is None else fault.task: set(fault.hows) for fault in check.faults
    }


def test_logic_counts_a_task_once_however_much_it_lacks():
    tasks, links = chain("a", "b", "c")
    check = logic(subject([*tasks, Task("alone", 1)], links))
    assert parts(check) == (3, 4, Verdict.FAILS)
    assert at_fault(check) == {
        "a": {How.NO_BEFORE},
        "c": {How.NO_AFTER},
        "alone": {How.NO_BEFORE, How.NO_AFTER},
    }


def test_logic_passes_at_five_in_a_hundred_and_no_more():
    tasks, links = chain(*(f"t{n}" for n in range(40)))
    assert parts(logic(subject(tasks, links))) == (2, 40, Verdict.PASSES)
    tasks, links = chain(*(f"t{n}" for n in range(39)))
    assert parts(logic(subject(tasks, links))) == (2, 39, Verdict.FAILS)


def test_finished_tasks_are_no_part_of_the_base_but_their_links_count():
    tasks, links = chain("a", "b", "c")
    tasks[0] = Task("a", 5, finished=-1)
    assert parts(logic(subject(tasks, links))) == (1, 2, Verdict.FAILS)


def test_nothing_left_to_count_gives_no_verdict():
    check = logic(subject([Task("a", 1, finished=-1)]))
    assert check.verdict is Verdict.CANNOT_TELL
    assert check.share is None
    assert leads(subject([Task("a", 1)])).verdict is Verdict.CANNOT_TELL


def test_a_start_that_only_a_finish_link_holds_is_loose():
    tasks = [Task("a", 5), Task("b", 5)]
    check = loose_ends(subject(tasks, [Link("a", "b", LinkKind.FF)]))
    assert at_fault(check) == {"b": {How.LOOSE_START}}
    assert check.verdict is Verdict.FAILS


def test_a_finish_that_nothing_waits_for_is_loose():
    tasks = [Task("a", 5), Task("b", 5)]
    check = loose_ends(subject(tasks, [Link("a", "b", LinkKind.SS)]))
    assert at_fault(check) == {"a": {How.LOOSE_FINISH}}


def test_once_begun_a_start_is_no_longer_loose():
    tasks = [Task("a", 5), Task("b", 5, started=-1)]
    check = loose_ends(subject(tasks, [Link("a", "b", LinkKind.FF)]))
    assert parts(check) == (0, 2, Verdict.PASSES)


def test_leads_lags_and_kinds_are_counted_by_link():
    tasks = [Task(n, 5) for n in range(4)]
    links = [
        Link(0, 1, lag=-2),
        Link(1, 2, lag=3),
        Link(2, 3, LinkKind.SS),
        Link(0, 3),
    ]
    checked = subject(tasks, links)
    assert parts(leads(checked)) == (1, 4, Verdict.FAILS)
    assert at_fault(leads(checked)) == {0: {How.LEAD}}
    assert leads(checked).faults[0].minutes == -2
    assert at_fault(lags(checked)) == {1: {How.LAG}}
    assert parts(link_kinds(checked)) == (3, 4, Verdict.FAILS)
    assert at_fault(link_kinds(checked)) == {2: {How.OTHER_KIND}}


def test_nine_links_of_ten_from_finish_to_start_are_enough():
    tasks, links = chain(*(f"t{n}" for n in range(10)))
    links.append(Link("t0", "t5", LinkKind.SS))
    assert parts(link_kinds(subject(tasks, links))) == (9, 10, Verdict.PASSES)


def test_links_to_what_is_finished_hold_nothing_and_count_nowhere():
    tasks = [Task("a", 5), Task("b", 5, finished=-1)]
    assert leads(subject(tasks, [Link("a", "b", lag=-2)])).base == 0


def test_pins_count_while_they_hold():
    tasks = [Task("a", 5), Task("b", 5, started=-1)]
    check = hard_constraints(subject(tasks, pinned={"a", "b"}))
    assert parts(check) == (1, 2, Verdict.FAILS)
    assert at_fault(check) == {"a": {How.PINNED}}


def test_work_begun_before_what_it_waits_for_is_out_of_order():
    tasks = [Task("a", 5), Task("b", 5, started=-3), Task("c", 5)]
    check = out_of_order(subject(tasks, [Link("a", "b"), Link("b", "c")]))
    assert parts(check) == (1, 2, Verdict.FAILS)
    assert at_fault(check) == {0: {How.OUT_OF_ORDER}}


def test_work_begun_in_its_turn_is_not_out_of_order():
    tasks = [Task("a", 5, started=-9, finished=-3), Task("b", 5, started=-3)]
    links = [Link("a", "b"), Link("a", "b", LinkKind.SS)]
    assert parts(out_of_order(subject(tasks, links))) == (0, 2, Verdict.PASSES)


def test_what_is_left_out_is_counted_nowhere():
    tasks, links = chain("a", "b", "c")
    checked = subject([*tasks, Task("d", 0)], links, left_out={"d"})
    assert parts(logic(checked))[:2] == (2, 3)
