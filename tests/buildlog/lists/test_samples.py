"""The sample lists: the tidy set comes in whole, the messy one with exactly the errors it has."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from buildlog.lists.bringing import CannotBring, Counts, counts, faults, write
from buildlog.lists.kinds import KINDS
from buildlog.materials.models import Part, Price, Purchase, PurchaseLine, StockMove
from buildlog.materials.stock import stock_of
from tasks.models import LagIn, Link, LinkKind, Task, Work
from tests.buildlog.lists.conftest import sample

TIDY = {"materials": 9, "tasks": 16, "links": 18, "parts": 15, "purchases": 5, "log": 4}


def said(bringing):
    return [(fault.row, fault.column, fault.rule) for fault in faults(bringing)]


@pytest.fixture
def tidy(bring):
    for kind in TIDY:
        bring(kind, sample(f"tidy/{kind}.csv"))


class TestTidy:
    def test_comes_in_whole(self, bring):
        for kind, rows in TIDY.items():
            bringing, done = bring(kind, sample(f"tidy/{kind}.csv"))
            assert done == Counts(new=rows), kind
            assert not bringing.found.open and not faults(bringing)

    def test_comes_in_again_without_doubling(self, tidy, bring):
        for kind, rows in TIDY.items():
            _, done = bring(kind, sample(f"tidy/{kind}.csv"))
            assert done == Counts(same=rows), kind
        assert (Task.objects.count(), Link.objects.count(), Part.objects.count()) == (16, 18, 15)
        assert (Purchase.objects.count(), PurchaseLine.objects.count()) == (4, 5)
        assert (Price.objects.count(), StockMove.objects.count(), Work.objects.count()) == (9, 5, 4)

    def test_makes_stages_in_order_of_appearance(self, build, tidy):
        assert [stage.name for stage in build.stages.all()] == [
            "Lofting", "Strongback", "Frames", "Stiffeners", "Planking", "Sheathing",
            "Turning over", "Interior", "Finish", "Launch",
        ]  # fmt: skip

    def test_keeps_what_a_task_says(self, build, tidy):
        task = build.tasks.get(code="T13")
        assert (task.low_minutes, task.likely_minutes, task.high_minutes) == (30, 60, 120)
        assert task.hands == 4 and task.unbroken
        assert build.tasks.get(code="T12").cure_minutes == 48 * 60

    def test_keeps_what_a_link_says(self, build, tidy):
        cure = build.links.get(before__code="T12", after__code="T13")
        assert (cure.lag_minutes, cure.lag_in) == (72 * 60, LagIn.ELAPSED)
        early = build.links.get(before__code="T01", after__code="T06")
        assert (early.kind, early.lag_minutes, early.lag_in) == (
            LinkKind.START_START, 240, LagIn.SHOP,
        )  # fmt: skip

    def test_puts_lines_of_one_receipt_on_one_paper_and_into_stock(self, build, tidy):
        paper = build.purchases.get(receipt_number="HT-1041")
        assert paper.lines.count() == 2 and paper.freight == 25
        assert paper.paid_on == paper.arrived_on == dt.date(2026, 3, 2)
        epoxy = build.materials.get(name="Epoxy resin and hardener")
        assert stock_of(build)[epoxy.pk] == 6

    def test_leaves_a_foreign_purchase_without_rate_open(self, build, see, tidy):
        assert build.purchases.get(receipt_number="CC-77").rate is None
        bringing = see("purchases", sample("tidy/purchases.csv"))
        assert any("GBP" in note for note in bringing.notes)

    def test_logs_hours_of_the_owner(self, build, owner, tidy):
        work = build.work.get(day=dt.date(2026, 3, 7))
        assert (work.person, work.minutes, work.task.code) == (owner, 390, "T01")
        entry = work.entries.get()
        assert entry.air_c == 11 and entry.text.startswith("Lines down full size")


JOBS_FAULTS = [
    (10, "best", "hours-fall"),
    (12, "Nr", "used-twice"),
    (13, "Hours (guess)", "negative"),
]


class TestMessyJobs:
    def test_names_exactly_its_errors(self, see):
        bringing = see("tasks", sample("messy/jobs.csv"))
        assert said(bringing) == JOBS_FAULTS

    def test_names_what_it_passes_over(self, see):
        skipped = see("tasks", sample("messy/jobs.csv")).found.table.skipped
        assert [(row.number, row.why) for row in skipped] == [
            (1, "above the headings"), (2, "above the headings"), (3, "blank"), (8, "blank"),
            (16, "a total, not a row of the list"),
        ]  # fmt: skip

    def test_writes_nothing_while_there_are_errors(self, build, bring):
        with pytest.raises(CannotBring, match="Row 10, best"):
            bring("tasks", sample("messy/jobs.csv"))
        assert not build.tasks.exists() and not build.stages.exists()

    def test_brings_the_others_when_told_to_leave_rows_out(self, build, bring):
        _, done = bring("tasks", sample("messy/jobs.csv"), leave_out=True)
        assert done == Counts(new=7, refused=3)
        assert [t.code for t in build.tasks.all()] == ["1", "2", "3", "4", "6", "9", "10"]

    def test_understands_the_builders_words(self, build, bring):
        bring("tasks", sample("messy/jobs.csv"), leave_out=True)
        task = build.tasks.get(code="6")
        assert task.hands == 1 and task.name == "Chine logs"
        assert build.tasks.get(code="2").likely_minutes == 390
        assert build.tasks.get(code="10").name == "Hang sides"
        assert build.tasks.get(code="3").name == "Frames, cut"

    def test_keeps_a_formula_as_text(self, build, bring):
        bring("tasks", sample("messy/jobs.csv"), leave_out=True)
        assert build.tasks.get(code="9").name == "=1+1"


@pytest.fixture
def jobs(bring):
    """The messy jobs as the builder corrects them: hours put right, the second 6 made 6b."""
    text = sample("messy/jobs.csv").decode("utf-8-sig")
    text = text.replace("5;9;3;2;n", "5;3;9;2;n").replace("6;Chine logs fit", "6b;Chine logs fit")
    return bring("tasks", text.replace("Planking;-6;", "Planking;6;"))


LINKS_FAULTS = [
    (7, "then", "loop"),
    (10, "first", "no-such-task"),
    (11, "then", "itself"),
]


class TestMessyLinks:
    def test_names_exactly_its_errors(self, jobs, see):
        bringing = see("links", sample("messy/links.csv"))
        assert said(bringing) == LINKS_FAULTS
        assert "3, 4, 5, 10, and back to 3" in faults(bringing)[0].message

    def test_names_the_loop_even_while_a_task_of_it_is_missing(self, bring, see):
        bring("tasks", sample("messy/jobs.csv"), leave_out=True)
        loops = [f for f in faults(see("links", sample("messy/links.csv"))) if f.rule == "loop"]
        assert [(fault.row, "3, 4, 5, 10" in fault.message) for fault in loops] == [(7, True)]

    def test_reads_waits_as_written(self, build, jobs, bring):
        _, done = bring("links", sample("messy/links.csv"), leave_out=True)
        assert done == Counts(new=7, refused=3)
        cure = build.links.get(before__code="4", after__code="5")
        assert (cure.lag_minutes, cure.lag_in) == (1440, LagIn.ELAPSED)
        day = build.links.get(before__code="9", after__code="10")
        assert (day.lag_minutes, day.lag_in) == (1440, LagIn.ELAPSED)


PARTS_FAULTS = [
    (8, "for job", "no-such-task"),
    (9, "No.", "negative"),
    (11, "L", "zero-denominator"),
]


class TestMessyParts:
    def test_names_exactly_its_errors(self, jobs, see):
        bringing = see("parts", sample("messy/parts.csv"))
        assert said(bringing) == PARTS_FAULTS
        assert not bringing.found.open

    def test_reads_lengths_in_any_notation_exactly(self, build, jobs, bring):
        _, done = bring("parts", sample("messy/parts.csv"), leave_out=True)
        assert done == Counts(new=7, refused=3)
        sizes = {
            part.name: (part.length_mm, part.width_mm, part.thickness_mm, part.layers)
            for part in build.parts.all()
        }
        assert sizes["Frame 1"] == (Decimal("1009.65"), Decimal("419.1"), 9, 1)
        assert sizes["Frame 2"] == (Decimal("1158.875"), Decimal("450.85"), Decimal("9.525"), 1)
        assert sizes["Frame 3"] == (1080, 430, 9, 1)
        assert sizes["Transom"] == (940, 410, 9, 2)
        assert sizes["Side"] == (2480, 430, 6, 1)

    def test_takes_bare_numbers_in_the_unit_confirmed(self, build, jobs, bring):
        assert bring("parts", sample("messy/parts.csv"), leave_out=True)[0].found.bare == {
            "length": 1, "width": 2, "thickness": 2,
        }  # fmt: skip
        cleat = build.parts.get(name="Cleat")
        assert (cleat.length_mm, cleat.width_mm, cleat.thickness_mm) == (Decimal("900.1125"), 2, 1)
        bring("parts", sample("messy/parts.csv"), leave_out=True,
              units={"width": "in", "thickness": "in"})  # fmt: skip
        cleat.refresh_from_db()
        assert (cleat.width_mm, cleat.thickness_mm) == (Decimal("50.8"), Decimal("25.4"))

    def test_takes_port_and_starboard_for_a_mirrored_pair(self, build, jobs, bring):
        bring("parts", sample("messy/parts.csv"), leave_out=True)
        chine = build.parts.get(name="Chine log")
        assert (chine.count, chine.mirrored) == (2, True)

    def test_makes_the_materials_that_rows_use_and_no_other(self, build, jobs, bring):
        bring("parts", sample("messy/parts.csv"), leave_out=True)
        made = {(m.name, m.kind, m.unit) for m in build.materials.all()}
        assert made == {
            ("ply 9", "sheet", "sheet"), ("ply 6", "sheet", "sheet"),
            ("fir 1x2", "timber", "length"),
        }  # fmt: skip


class TestMessySpent:
    def test_asks_for_the_order_of_day_and_month(self, see):
        bringing = see("purchases", sample("messy/spent.csv"))
        (question,) = bringing.found.open
        assert (question.about, question.row, question.example) == ("order", 3, "03/09/2026")
        assert question.readings == ("Thursday 3 September 2026", "Monday 9 March 2026")
        assert counts(bringing).asked == 1
        with pytest.raises(CannotBring):
            write(bringing, KINDS["purchases"], leave_out=True)

    @pytest.mark.parametrize("order", ["", "dmy"])
    def test_names_exactly_its_errors(self, see, order):
        bringing = see("purchases", sample("messy/spent.csv"), order=order)
        assert said(bringing) == [(5, "Date", "no-such-date"), (6, "Paid", "unreadable")]

    @pytest.mark.parametrize(
        ("order", "day"), [("dmy", dt.date(2026, 9, 3)), ("mdy", dt.date(2026, 3, 9))]
    )
    def test_takes_the_order_it_is_told(self, build, bring, order, day):
        _, done = bring("purchases", sample("messy/spent.csv"), leave_out=True, order=order)
        assert done == Counts(new=3, refused=2)
        fir = PurchaseLine.objects.get(material__name="fir 1x2")
        assert fir.purchase.ordered_on == day

    def test_reads_amounts_and_takes_the_currency_from_the_sign(self, build, bring):
        bring("purchases", sample("messy/spent.csv"), leave_out=True, order="dmy")
        lines = {
            line.material.name: (line.net, line.quantity, line.purchase.currency)
            for line in PurchaseLine.objects.select_related("material", "purchase")
        }
        assert lines == {
            "ply 9": (Decimal("240.38"), 2, "EUR"),
            "fir 1x2": (Decimal("51.55"), 3, "EUR"),
            "epoxy": (Decimal("1168.89"), 6, "EUR"),
        }
        assert build.materials.get(name="epoxy").unit == "kg"


def test_the_messy_set_brought_again_changes_nothing(build, jobs, bring):
    for kind, file, said in (
        ("tasks", "jobs", {}),
        ("links", "links", {}),
        ("parts", "parts", {}),
        ("purchases", "spent", {"order": "dmy"}),
    ):
        content = sample(f"messy/{file}.csv")
        first = bring(kind, content, leave_out=True, **said)[1]
        again = bring(kind, content, leave_out=True, **said)[1]
        assert again == Counts(same=first.going + first.same, refused=first.refused), kind
    assert StockMove.objects.count() == PurchaseLine.objects.count() == 3
