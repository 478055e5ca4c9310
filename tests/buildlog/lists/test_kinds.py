"""Each kind of list where the samples do not go: questions, updates, rules over several rows."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from buildlog.lists.bringing import CannotBring, Counts, counts, faults
from buildlog.materials.models import Price, Purchase, StockMove
from buildlog.materials.stock import stock_of
from buildlog.supporters.models import Contribution
from tasks.models import Task, Work, WorkLimit


def said(bringing):
    return [(fault.row, fault.column, fault.rule) for fault in faults(bringing)]


class TestTasks:
    def test_with_one_column_of_hours_have_all_three_the_same_and_say_so(self, build, bring):
        bringing, _ = bring("tasks", "nr,job,hours\n1,Cut,2\n")
        task = build.tasks.get()
        assert task.low_minutes == task.likely_minutes == task.high_minutes == 120
        assert any("Only “hours” gives hours" in note for note in bringing.notes)

    def test_without_numbers_are_numbered_and_known_by_stage_and_name(self, build, bring):
        text = "stage,job,hours\nFrames,Cut,2\nDeck,Cut,3\n"
        assert bring("tasks", text)[1] == Counts(new=2)
        assert bring("tasks", text.replace("2", "4"))[1] == Counts(changed=1, same=1)
        assert sorted(build.tasks.values_list("code", "likely_minutes")) == [("1", 240), ("2", 180)]

    def test_without_stages_go_into_one(self, build, bring):
        bring("tasks", "nr,job,hours\n1,Cut,2\n")
        assert [stage.name for stage in build.stages.all()] == ["The boat"]

    def test_share_a_stage_whatever_its_case(self, build, bring):
        bring("tasks", "nr,job,stage,hours\n1,Cut,frames,2\n2,Glue,Frames ,2\n")
        assert [stage.name for stage in build.stages.all()] == ["frames"]

    def test_leave_alone_what_the_list_has_no_column_for(self, make_task, bring):
        task = make_task("1", 5, hands=3, notes="kept")
        bring("tasks", "nr,job\n1,Renamed\n")
        task.refresh_from_db()
        assert (task.name, task.hands, task.notes, task.likely_minutes) == (
            "Renamed",
            3,
            "kept",
            300,
        )

    def test_never_lose_a_start_that_was_logged(self, build, make_task, bring):
        started = dt.datetime(2026, 3, 1, 9, tzinfo=build.zone)
        task = make_task("1", started_at=started)
        bringing, _ = bring("tasks", "nr,job,started\n1,Task 1,2026-02-01\n")
        task.refresh_from_db()
        assert task.started_at == started and any("stays" in note for note in bringing.notes)

    def test_may_come_in_started_and_finished(self, build, bring):
        bring("tasks", "nr,job,hours,done on\n1,Cut,2,2026-03-01\n")
        task = build.tasks.get()
        assert task.started_at == task.finished_at == dt.datetime(2026, 3, 1, 12, tzinfo=build.zone)

    @pytest.mark.parametrize(
        ("row", "fault"),
        [
            ("1,,F,2,2,2,1", ("job", "needed")),
            ("1,Cut,,2,2,2,1", ("stage", "needed")),
            ("1,Cut,F,,,,1", ("likely", "needed")),
            ("1,Cut,F,1,,3,1", ("likely", "needed")),
            ("1,Cut,F,4,2,5,1", ("low", "hours-fall")),
            ("1,Cut,F,1,6,5,1", ("likely", "hours-fall")),
            ("1,Cut,F,2,2,2,0", ("hands", "unreadable")),
            ("1,Cut,F,2,2,2,100", ("hands", "too-large")),
            (f"{'9' * 21},Cut,F,2,2,2,1", ("nr", "too-long")),
            ("1,Cut,F,2,2,2,1,more", ("column 8", "more-cells")),
        ],
    )
    def test_are_refused_by_rule(self, see, row, fault):
        good = "".join(f"\n{n},Job {n},F,2,2,2,1" for n in range(50, 55))
        bringing = see("tasks", f"nr,job,stage,low,likely,high,hands\n{row}{good}")
        assert said(bringing) == [(2, *fault)]

    def test_say_what_they_keep_to_in_trade_words(self, build, bring):
        quiet = WorkLimit.objects.create(build=build, name="Quiet hours", end_minute=1200)
        bring(
            "tasks",
            "nr,job,hours,trade,limit,who does it,days if bought,pinned,fixed order\n"
            "1,Paint,2,varnishing,quiet  hours,labour only,12,2026-05-02 09:30,1\n",
        )
        task = build.tasks.get()
        assert (task.work_kind, task.limit, task.doing) == ("coating", quiet, "bought-in")
        assert (task.bought_in_days, task.turn) == (12, 1)
        assert task.pinned_at == dt.datetime(2026, 5, 2, 9, 30, tzinfo=build.zone)

    @pytest.mark.parametrize(("cells", "left"), [(None, True), (",,,,,", False)])
    def test_keep_it_without_the_columns_and_lose_it_by_empty_cells(
        self, build, make_task, bring, cells, left
    ):
        held = {
            "work_kind": "gluing", "limit": WorkLimit.objects.create(build=build, name="Quiet"),
            "doing": "left-out", "bought_in_days": 3, "turn": 1,
            "pinned_at": dt.datetime(2026, 5, 2, 9, 30, tzinfo=build.zone),
        }  # fmt: skip
        none = {"work_kind": "", "limit": None, "doing": "own", "bought_in_days": 0, "turn": None,
                "pinned_at": None}  # fmt: skip
        task = make_task("1", **held)
        more = ",sort of work,keeps to,who does it,days if bought,pinned to,fixed turn"
        text = "nr,job\n1,Renamed\n" if cells is None else f"nr,job{more}\n1,Renamed,{cells}\n"
        bring("tasks", text)
        task.refresh_from_db()
        assert {name: getattr(task, name) for name in held} == (held if left else none)

    @pytest.mark.parametrize(
        ("heading", "cell", "rule"),
        [
            ("keeps to", "Nowhere", "no-such-limit"),
            ("sort of work", "knitting", "not-one-of"),
            ("who does it", "perhaps", "not-one-of"),
            ("days if bought", "3661", "too-large"),
            ("pinned to", "2026-05-02", "unreadable"),
            ("fixed turn", "0", "unreadable"),
            ("fixed turn", "7", "used-twice"),
        ],
    )
    def test_are_refused_for_what_they_keep_to(self, build, see, heading, cell, rule):
        rest = "7" if heading == "fixed turn" else ""
        first = f"1,First,2,{rest}\n"
        bringing = see("tasks", f"nr,job,hours,{heading}\n{first}2,Cut,2,{cell}\n")
        assert said(bringing) == [(3, heading, rule)]
        assert not build.work_limits.exists()

    def test_that_are_begun_are_not_left_out(self, build, make_task, see):
        make_task("1", started_at=dt.datetime(2026, 3, 2, 9, tzinfo=dt.UTC))
        bringing = see("tasks", "nr,job,hours,who does it\n1,Cut,2,left out\n2,Fit,2,left out\n")
        assert said(bringing) == [(2, "who does it", "begun")]

    def test_are_not_pinned_to_a_time_that_the_clocks_skip(self, build, see):
        build.time_zone = "Europe/Berlin"
        bringing = see("tasks", "nr,job,hours,pinned to\n1,Cut,2,2026-03-29 02:30\n")
        assert said(bringing) == [(2, "pinned to", "no-such-time")]

    def test_touch_the_plan_once(self, build, bring):
        build.refresh_from_db()
        before = build.plan_version
        bring("tasks", "nr,job,hours\n" + "".join(f"{n},Job {n},2\n" for n in range(40)))
        build.refresh_from_db()
        assert build.plan_version - before <= 2  # the stage, and the tasks together

    def test_ask_for_a_decimal_mark_that_the_column_does_not_tell(self, see, bring):
        text = "nr;job;hours\n1;Cut;1,250\n"
        bringing = see("tasks", text)
        assert [(q.about, q.key) for q in bringing.found.open] == [("decimal", "likely")]
        bring("tasks", text, decimals={"likely": ","})
        assert Task.objects.get().likely_minutes == 75

    def test_take_the_decimal_mark_that_the_column_tells(self, bring):
        bring("tasks", "nr;job;hours\n1;Cut;1,250\n2;Glue;2,5\n")
        assert Task.objects.get(code="1").likely_minutes == 75


class TestLinks:
    @pytest.fixture(autouse=True)
    def tasks(self, make_task):
        for code in "1234":
            make_task(code)

    def test_may_not_close_a_ring_with_links_there_are(self, bring, see):
        bring("links", "first,then\n1,2\n2,3\n")
        bringing = see("links", "first,then\n3,4\n4,1\n")
        assert said(bringing) == [(3, "then", "loop")]
        assert "1, 2, 3, 4, and back to 1" in faults(bringing)[0].message

    def test_are_known_by_tasks_and_kind(self, build, bring):
        assert bring("links", "first,then,kind,lag h\n1,2,fs,0\n1,2,ss,4\n")[1].new == 2
        assert bring("links", "first,then,kind,lag h\n1,2,FS,0\n1,2,start-start,5\n")[1] == Counts(
            changed=1, same=1
        )

    def test_may_name_tasks_by_name(self, build, bring):
        bring("links", "first,then\ntask 1,2 Task 2\n")
        assert build.links.get().before.code == "1"

    @pytest.mark.parametrize(
        ("row", "fault"),
        [
            ("1,2,sideways,,", ("kind", "not-one-of")),
            ("1,2,,1 day,shop", ("lag is", "two-answers")),
            ("1,2,,soon,", ("lag h", "unreadable")),
            ("1,,,,", ("then", "needed")),
        ],
    )
    def test_are_refused_by_rule(self, see, row, fault):
        assert said(see("links", f"first,then,kind,lag h,lag is\n{row}\n")) == [(2, *fault)]

    def test_twice_in_a_list_are_refused(self, see):
        assert said(see("links", "first,then\n1,2\n1,2\n")) == [(3, "then", "used-twice")]


class TestMaterials:
    def test_keep_the_old_price_beside_a_new_one(self, build, bring):
        text = "material,kind,price,price date\nPly,sheet,{},{}\n"
        bring("materials", text.format("68", "2025-01-01"))
        assert bring("materials", text.format("72", "2026-01-01"))[1] == Counts(changed=1)
        assert bring("materials", text.format("72", "2026-01-01"))[1] == Counts(same=1)
        assert bring("materials", text.format("73", "2026-01-01"))[1] == Counts(changed=1)
        assert list(Price.objects.values_list("net", flat=True)) == [73, 68]

    def test_have_their_kind_guessed_from_the_name(self, build, bring):
        bring("materials", "name,price\nBirch ply 12,40\nBronze bolts,2\n")
        assert set(build.materials.values_list("name", "kind", "unit")) == {
            ("Birch ply 12", "sheet", "sheet"), ("Bronze bolts", "fastener", "each"),
        }  # fmt: skip

    def test_whose_name_says_nothing_need_a_kind(self, see):
        assert said(see("materials", "name,price\nThing,40\n")) == [(2, "name", "needed")]

    def test_twice_in_a_list_are_refused(self, see):
        bringing = see("materials", "material,kind\nPly,sheet\nPLY,sheet\n")
        assert said(bringing) == [(3, "material", "used-twice")]

    def test_are_read_in_the_units_of_their_headings(self, build, bring):
        bring(
            "materials", "material,kind,length ft,thickness in,density lb/ft3\nPly,sheet,8,3/8,28\n"
        )
        ply = build.materials.get()
        assert (ply.length_mm, ply.thickness_mm) == (Decimal("2438.4"), Decimal("9.525"))
        assert round(ply.density) == 449


class TestParts:
    @pytest.fixture
    def ply(self, build):
        return build.materials.create(name="Okoume ply 9 mm", kind="sheet", unit="sheet")

    def test_ask_what_a_name_like_one_there_is_means(self, build, see, bring, ply):
        text = "part,stuff,no\nFrame,ply 9,2\n"
        bringing = see("parts", text)
        assert [(q.about, q.key) for q in bringing.found.open] == [("name", "ply 9")]
        assert bringing.names[0].choices[0] == (f"is:{ply.pk}", "the same as Okoume ply 9 mm")
        bring("parts", text, names={"ply 9": f"is:{ply.pk}"})
        assert build.parts.get().material == ply and build.materials.count() == 1

    def test_ask_of_what_kind_a_name_is_that_says_nothing(self, build, see, bring):
        text = "part,stuff,no\nFrame,Thingum,2\n"
        assert see("parts", text).found.open[0].about == "name"
        bring("parts", text, names={"thingum": "new:equipment"})
        assert build.materials.get().kind == "equipment"

    def test_in_pairs_must_be_even(self, see, ply):
        bringing = see("parts", "part,stuff,no,mirrored\nSide,Okoume ply 9 mm,3,yes\n")
        assert [(row, column) for row, column, _ in said(bringing)] == [(2, "no")]

    def test_without_a_task_belong_to_none(self, build, bring, ply):
        bring("parts", "part,stuff,no\nFrame,Okoume ply 9 mm,2\n")
        assert build.parts.get().task is None
        assert bring("parts", "part,stuff,no\nframe,Okoume ply 9 mm,3\n")[1] == Counts(changed=1)

    def test_take_their_amount_in_what_the_material_is_counted_in(self, build, bring, see):
        build.materials.create(name="Resin", kind="resin", unit="kg")
        bring("parts", "part,material,amount each\nFillet,Resin,250 g\n")
        assert build.parts.get().quantity == Decimal("0.25")
        bringing = see("parts", "part,material,amount each\nFillet 2,Resin,2 litres\n")
        assert said(bringing) == [(2, "amount each", "unknown-unit")]


class TestPurchases:
    def test_of_one_receipt_with_two_currencies_are_refused(self, see):
        text = "date,where,what,net,cur,receipt\n2026-03-01,Shop,screws,1,EUR,7\n"
        bringing = see("purchases", text + "2026-03-01,Shop,bolts,1,GBP,7\n")
        assert said(bringing) == [(3, "cur", "two-currencies")]

    def test_take_rates_that_the_builder_gives(self, build, bring):
        text = "date,where,what,net,cur,receipt\n2026-03-01,Shop,screws,1,GBP,7\n"
        bring("purchases", text)
        assert build.purchases.get().rate is None
        assert bring("purchases", text, rates={"GBP": "1.17"})[1] == Counts(changed=1)
        paper = build.purchases.get()
        assert (paper.rate, paper.rate_day) == (Decimal("1.17"), dt.date(2026, 3, 1))
        assert bring("purchases", text)[1] == Counts(same=1)

    def test_change_a_line_and_the_stock_with_it(self, build, bring):
        text = "date,where,what,qty,net,receipt\n2026-03-01,Shop,screws,{},1,7\n"
        bring("purchases", text.format(200))
        bring("purchases", text.format(150))
        screws = build.materials.get()
        assert stock_of(build)[screws.pk] == 150 and StockMove.objects.count() == 2
        assert Purchase.objects.get().lines.count() == 1

    def test_keep_lines_that_the_list_does_not_name(self, build, bring):
        text = "date,where,what,qty,net,receipt\n2026-03-01,Shop,screws,200,1,7\n"
        bring("purchases", text + "2026-03-01,Shop,bolts,10,1,7\n")
        bring("purchases", text.replace("200", "100"))
        assert sorted(build.purchases.get().lines.values_list("quantity", flat=True)) == [10, 100]

    def test_ordered_and_not_here_yet_are_no_stock(self, build, bring):
        text = "date,where,what,qty,net,paid on,arrived on\n2026-03-01,Shop,screws,200,1,,{}\n"
        bring("purchases", text.format(""))
        assert build.purchases.get().paid_on is None and not StockMove.objects.exists()
        bring("purchases", text.format("2026-03-09"))
        assert StockMove.objects.get().day == dt.date(2026, 3, 9)

    def test_may_be_words_only(self, build, bring):
        bring("purchases", "date,where,what,net\n2026-03-01,Shop,hire of a crane,90\n")
        line = build.purchases.get().lines.get()
        assert (line.material, line.what, line.quantity) == (None, "hire of a crane", 1)

    def test_that_arrive_before_they_are_ordered_are_refused_line_by_line(self, see):
        text = "date,where,what,net,receipt,arrived on\n"
        rows = "2026-03-05,Shop,screws,1,7,2026-03-01\n2026-03-05,Shop,bolts,1,7,2026-03-01\n"
        assert said(see("purchases", text + rows)) == [
            (2, "arrived on", "arrived-first"), (3, "arrived on", "arrived-first"),
        ]  # fmt: skip

    @pytest.mark.parametrize(
        ("cells", "fault"),
        [
            ("2026-03-01,Shop,screws,1,,", ("net", "needed")),
            ("2026-03-01,,screws,1,1,", ("where", "needed")),
            (",Shop,screws,1,1,", ("date", "needed")),
            ("2026-03-01,Shop,screws,0,1,", ("qty", "unreadable")),
            ("2026-03-01,Shop,screws,1,£ 3,EUR", ("cur", "two-currencies")),
            ("2026-03-01,Shop,screws,1,$ 3,", ("net", "unknown-currency")),
            ("2026-03-01,Shop,screws,1,3,XXX", ("cur", "unknown-currency")),
            ("2026-03-01,Shop,screws,2 kg,3,", ("qty", "unknown-unit")),
        ],
    )
    def test_are_refused_by_rule(self, build, see, cells, fault):
        build.materials.create(name="screws", kind="fastener", unit="each")
        assert said(see("purchases", f"date,where,what,qty,net,cur\n{cells}\n")) == [(2, *fault)]


class TestStock:
    @pytest.fixture(autouse=True)
    def ply(self, build):
        return build.materials.create(name="Ply", kind="sheet", unit="sheet")

    def test_counted_is_written_to_the_ledger(self, build, bring, ply):
        bring("stock", "material,counted,date\nPly,12,2026-03-01\n")
        move = StockMove.objects.get()
        assert (move.kind, move.quantity, move.counted) == ("counted", 12, 12)

    def test_an_old_count_brought_again_does_not_undo_what_was_used_since(self, build, bring, ply):
        text = "material,counted,date\nPly,12,2026-03-01\n"
        bring("stock", text)
        StockMove.objects.create(build=build, material=ply, day=dt.date(2026, 3, 5), kind="used",
                                 quantity=-2)  # fmt: skip
        assert bring("stock", text)[1] == Counts(same=1)
        assert stock_of(build)[ply.pk] == 10

    def test_two_counts_of_one_material_are_refused(self, see):
        assert said(see("stock", "material,counted\nPly,1\nply,2\n")) == [
            (3, "material", "used-twice")
        ]


class TestLog:
    def test_rows_of_one_day_and_words_are_one_entry(self, build, make_task, bring):
        make_task("1")
        make_task("2")
        text = "date,task,person,hours,text\n2026-03-07,1,Olive,2,Glued\n2026-03-07,2,Bo,1,Glued\n"
        assert bring("log", text)[1] == Counts(new=2)
        entry = build.entries.get()
        assert entry.tasks.count() == 2 and sorted(w.minutes for w in entry.work.all()) == [60, 120]
        assert bring("log", text)[1] == Counts(same=2)
        assert bring("log", text.replace(",2,G", ",3,G"))[1] == Counts(changed=1, same=1)
        assert Work.objects.count() == 2

    def test_two_rows_alike_are_two(self, build, make_task, bring):
        make_task("1")
        text = "date,task,person,hours\n2026-03-07,1,Olive,2\n2026-03-07,1,Olive,2\n"
        assert bring("log", text)[1] == Counts(new=2)
        assert bring("log", text)[1] == Counts(same=2)
        assert Work.objects.count() == 2 and not build.entries.exists()

    def test_hours_stay_known_after_a_person_changes_name(self, build, owner, bring):
        text = "date,person,hours,text\n2026-03-07,Olive,2,Glued\n"
        bring("log", text)
        owner.name = "Olive Oyl"
        owner.save()
        assert bring("log", text)[1] == Counts(same=1)

    @pytest.mark.parametrize(
        ("row", "fault"),
        [
            ("2026-03-07,9,Olive,2,x", ("task", "no-such-task")),
            ("2026-03-07,,Olive,25,x", ("hours", "too-large")),
            ("2026-03-07,,Olive,,", ("text", "needed")),
        ],
    )
    def test_are_refused_by_rule(self, see, row, fault):
        assert said(see("log", f"date,task,person,hours,text\n{row}\n")) == [(2, *fault)]


class TestSupporters:
    def test_give_several_times(self, build, bring):
        text = "name,given on,given\nAnna,2026-01-02,10\nBo,2026-01-03,5\nAnna,2026-02-02,20\n"
        bring("supporters", text)
        assert {s.name: (s.since, s.agreed) for s in build.supporters.all()} == {
            "Anna": (dt.date(2026, 1, 2), False), "Bo": (dt.date(2026, 1, 3), False),
        }  # fmt: skip
        assert Contribution.objects.count() == 3
        assert bring("supporters", text)[1] == Counts(same=3)
        assert Contribution.objects.count() == 3

    @pytest.mark.parametrize(
        ("row", "fault"),
        [
            ("Anna,not an email,,", ("email", "not-an-email")),
            ("Anna,,,5", ("given on", "needed")),
            ("Anna,,2026-01-01,£5", ("given", "other-currency")),
        ],
    )
    def test_are_refused_by_rule(self, see, row, fault):
        assert said(see("supporters", f"name,email,given on,given\n{row}\n")) == [(2, *fault)]


def test_a_list_without_a_column_it_needs_asks_for_it(see):
    bringing = see("tasks", "nr,hours\n1,2\n")
    assert [(q.about, q.key) for q in bringing.found.open] == [("column", "name")]
    with pytest.raises(CannotBring):
        from buildlog.lists.bringing import write
        from buildlog.lists.kinds import KINDS

        write(bringing, KINDS["tasks"])


def test_a_list_of_headings_only_brings_nothing(bring):
    assert bring("tasks", "nr,job,hours\n")[1] == Counts()


@pytest.mark.parametrize("rows", [3, 30])
@pytest.mark.parametrize(
    ("kind", "head", "row", "most"),
    [
        ("tasks", "nr,job,stage,hours", "{0},Job {0},Frames,2", 2),
        ("links", "first,then", "T{0},T99", 2),
        ("parts", "part,task,material,no", "P{0},T{0},Ply {0},2", 3),
        ("materials", "material,kind,price", "Ply {0},sheet,3", 3),
        ("stock", "material,counted", "Ply {0},3", 3),
        ("purchases", "date,where,what,net,receipt", "2026-01-01,Shop {0},Ply,3,{0}", 4),
        ("log", "date,task,person,hours,text", "2026-01-01,T{0},Bo,1,x{0}", 9),
        ("supporters", "name,given on,given", "Anna {0},2026-01-01,5", 2),
    ],
)
def test_looking_takes_the_same_few_queries_for_any_number_of_rows(
    see, make_task, django_assert_max_num_queries, kind, head, row, most, rows
):
    for number in [*range(rows), 99]:
        make_task(f"T{number}")
    text = "\n".join([head, *(row.format(number) for number in range(rows))])
    with django_assert_max_num_queries(most):
        bringing = see(kind, text)
    assert counts(bringing).new == rows


def test_a_dash_is_an_empty_cell_but_not_where_words_stand(build, bring):
    build.materials.create(name="Ply", kind="sheet", unit="sheet")
    bring("parts", "part,task,material,length,notes\nFrame,-,Ply,–,-\n")
    part = build.parts.get()
    assert (part.task, part.length_mm, part.notes) == (None, None, "-")
