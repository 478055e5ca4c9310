"""What goes out comes in again as it was: out, into an empty build, and out once more, the same."""

from __future__ import annotations

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from buildlog.journal.models import Entry
from buildlog.lists import taking
from buildlog.lists.answers import Answers
from buildlog.lists.bringing import Counts, look, write
from buildlog.lists.kinds import KINDS
from buildlog.lists.reading import read_raw
from buildlog.lists.writing import cell_text
from buildlog.materials.models import Material, Part, Price, Purchase, PurchaseLine, Supplier
from buildlog.materials.purchasing import record_purchase
from buildlog.supporters.models import Contribution, Supporter
from tasks.models import Build, Doing, LagIn, Link, LinkKind, Stage, Task, Work, WorkKind, WorkLimit

TABLES = ("materials", "tasks", "links", "parts", "purchases", "log", "supporters")


def tables(build: Build, form: str = "csv") -> dict[str, bytes]:
    if form == "csv":
        return {key: taking.csv_of(build, KINDS[key], money=True) for key in TABLES}
    return {key: taking.workbook_of(build, [KINDS[key]], money=True) for key in TABLES}


def cells(content: bytes) -> list[tuple[str, ...]]:
    return [row.cells for row in read_raw(content).rows]


def empty_twin(build: Build) -> Build:
    return Build.objects.create(
        name="Twin", slug=f"twin-{Build.objects.count()}", time_zone=build.time_zone,
        currency=build.currency, length_system=build.length_system,
    )  # fmt: skip


def bring_all(build: Build, person, files: dict[str, bytes]) -> None:
    for key, content in files.items():
        bringing = look(build, person, KINDS[key], content, Answers())
        assert not bringing.found.faults and not bringing.found.open, (key, bringing.found.faults)
        write(bringing, KINDS[key])


NOTES = 'first line\r\nsecond, with "quotes" and ; and\ttab\n=not run'


@pytest.fixture
def full(build, owner):
    """A build with something awkward in every column."""
    frames = Stage.objects.create(build=build, name="@Frames", order=1)
    deck = Stage.objects.create(build=build, name="Deck, and coamings", order=2)
    cold = WorkLimit.objects.create(build=build, name="=Quiet, after  eight", end_minute=1200)
    a = Task.objects.create(
        build=build, stage=frames, code="T1", name="=1+1", low_minutes=50, likely_minutes=100,
        high_minutes=125, hands=12, unbroken=True, cure_minutes=1441, notes=NOTES,
        not_before=dt.date(2026, 5, 1), work_kind="gluing", limit=cold, doing="bought-in",
        bought_in_days=9, turn=2,
        pinned_at=dt.datetime(2026, 10, 25, 2, 30, 17, tzinfo=build.zone, fold=1),
        started_at=dt.datetime(2026, 3, 1, 9, 30, tzinfo=build.zone),
        finished_at=dt.datetime(2026, 10, 25, 2, 30, tzinfo=build.zone, fold=1),
    )  # fmt: skip
    b = Task.objects.create(build=build, stage=deck, code="-2", name="'=quoted", order=2)
    c = Task.objects.create(build=build, stage=deck, code="003", name="é “x” ½", order=1)
    Link.objects.create(build=build, before=a, after=b, lag_minutes=-100, kind=LinkKind.START_START)
    Link.objects.create(build=build, before=a, after=c, lag_minutes=1500, lag_in=LagIn.ELAPSED,
                        waits_for_cure=False)  # fmt: skip
    shop = Supplier.objects.create(build=build, name="+Chandler & Co")
    ply = Material.objects.create(
        build=build, name="Ply 9 mm", kind="sheet", unit="sheet", length_mm=Decimal("2440"),
        width_mm=Decimal("1220"), thickness_mm=Decimal("9.525"), density=Decimal("450.5"),
        pack=Decimal("1"), waste_percent=Decimal("12.125"), supplier=shop, lead_days=10,
    )  # fmt: skip
    resin = Material.objects.create(
        build=build, name="Resin", kind="resin", unit="kg", pack=Decimal("2.125"),
        cost_kind="used-up", coverage=Decimal("4.125"), each_kg=Decimal("0.0001"), notes=NOTES,
    )  # fmt: skip
    Price.objects.create(material=ply, day=dt.date(2025, 1, 2), net=Decimal("94.125"),
                         currency="GBP", rate=Decimal("1.167"), supplier=shop)  # fmt: skip
    Price.objects.create(material=resin, day=dt.date(2025, 1, 2), net=Decimal("1234.5"),
                         currency="EUR")  # fmt: skip
    Part.objects.create(
        build=build, name="Frame 1", task=a, material=ply, count=2, mirrored=True,
        length_mm=Decimal("1009.650000"), width_mm=Decimal("0.396875"),
        thickness_mm=Decimal("9.125"), layers=2, grain="across", scarf_ratio=Decimal("8.25"),
        allowance_percent=Decimal("7.5"), notes="-1",
    )  # fmt: skip
    Part.objects.create(build=build, name="Frame 1", material=resin, quantity=Decimal("0.125"))
    paper = Purchase(build=build, supplier=shop, receipt_number="@7", currency="GBP",
                     rate=Decimal("1.17"), ordered_on=dt.date(2026, 3, 2), freight=Decimal("25.1"),
                     tax=Decimal("3"), paid_on=dt.date(2026, 3, 5))  # fmt: skip
    record_purchase(paper, [
        PurchaseLine(material=ply, quantity=Decimal("2"), net=Decimal("178.125")),
        PurchaseLine(what="=cmd()", quantity=Decimal("1.125"), net=Decimal("2"), tax=Decimal("1"),
                     cost_kind="tools"),
    ], owner)  # fmt: skip
    loose = Purchase(build=build, supplier=shop, currency="EUR", ordered_on=dt.date(2026, 3, 9),
                     arrived_on=dt.date(2026, 3, 9), paid_on=dt.date(2026, 3, 9))  # fmt: skip
    line = PurchaseLine(material=resin, quantity=Decimal("6"), net=Decimal("9"))
    record_purchase(loose, [line], owner)
    entry = Entry.objects.create(
        build=build, day=dt.date(2026, 3, 7), text=NOTES, air_c=Decimal("-3.25")
    )
    for task, minutes in ((a, 100), (a, 100), (b, 30)):
        entry.work.add(Work.objects.create(build=build, task=task, person=owner, who="Olive",
                                           day=entry.day, minutes=minutes))  # fmt: skip
    entry.tasks.add(a, c)
    Entry.objects.create(build=build, day=dt.date(2026, 3, 8), text="Looked at her.")
    Work.objects.create(build=build, task=a, who="A helper", day=dt.date(2026, 3, 7), minutes=45)
    Work.objects.create(build=build, who="A helper", day=dt.date(2026, 3, 7), minutes=45)
    for name, agreed in (("Anna", True), ("Anna", False)):
        supporter = Supporter.objects.create(build=build, name=name, agreed=agreed, notes=NOTES,
                                             since=dt.date(2025, 1, 1 + agreed))  # fmt: skip
        for amount in ("10", "10", "12.125"):
            Contribution.objects.create(supporter=supporter, day=dt.date(2026, 1, 1),
                                        amount=Decimal(amount), note="=for sails")  # fmt: skip
    Supporter.objects.create(
        build=build, name="Bo", email="bo@example.org", since=dt.date(2026, 1, 1)
    )
    return build


@pytest.mark.parametrize("form", ["csv", "xlsx"])
@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_every_table_comes_back_the_same(full, owner, form, system):
    full.length_system = system
    full.save()
    out = tables(full, form)
    twin = empty_twin(full)
    for limit in full.work_limits.all():
        WorkLimit.objects.create(build=twin, name=limit.name, end_minute=limit.end_minute)
    bring_all(twin, owner, out)
    again = tables(twin, form)
    for key in TABLES:
        assert cells(again[key]) == cells(out[key]), key


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_every_table_changes_nothing_where_it_came_from(full, owner, form):
    for key, content in tables(full, form).items():
        bringing = look(full, owner, KINDS[key], content, Answers())
        rows = len(bringing.records)
        changes = [r.changes for r in bringing.records if r.changes]
        assert (write(bringing, KINDS[key]), changes) == (Counts(same=rows), [])


def test_stock_comes_back_the_same(full, owner):
    out = taking.csv_of(full, KINDS["stock"], money=True)
    twin = empty_twin(full)
    bring_all(twin, owner, {"materials": tables(full)["materials"], "stock": out})
    assert taking.csv_of(twin, KINDS["stock"], money=True) == out


def test_no_cell_of_a_csv_begins_a_formula(full):
    for key, content in tables(full).items():
        for row in csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")):
            for cell in row:
                assert not cell.startswith(("=", "+", "@", "\t", "\r")), (key, cell)


def test_no_cell_of_an_xlsx_is_a_formula(full):
    content = taking.workbook_of(full, KINDS.values(), money=True)
    book = load_workbook(io.BytesIO(content))
    assert book.sheetnames == [kind.title for kind in KINDS.values()]
    assert all(cell.data_type != "f" for sheet in book for row in sheet.iter_rows() for cell in row)
    assert "=1+1" in [cell.value for cell in book["Tasks"]["C"]]


def test_lengths_go_out_exact(full):
    metric = cells(tables(full)["parts"])
    assert next(row for row in metric if row[2] == "Ply 9 mm")[:6] == (
        "Frame 1",
        "T1",
        "Ply 9 mm",
        "2",
        "1009.65",
        "0.396875",
    )
    full.length_system = "imperial"
    imperial = cells(tables(full)["parts"])
    assert imperial[0][4:6] == ("length", "width")
    assert next(row for row in imperial if row[2] == "Ply 9 mm")[4:7] == (
        "3′ 3 3/4″",
        "1/64″",
        "9.1250 mm",
    )


lengths = st.decimals("0.000001", "9999999", places=6) | st.integers(1, 64 * 400).map(
    lambda n: Decimal(n) * Decimal("25.4") / 64
)


@settings(max_examples=25, deadline=None,
          suppress_health_check=[HealthCheck.function_scoped_fixture])  # fmt: skip
@given(
    system=st.sampled_from(["metric", "imperial"]),
    form=st.sampled_from(["csv", "xlsx"]),
    parts=st.lists(
        st.tuples(
            st.text(st.characters(codec="utf-8"), min_size=1, max_size=12).filter(str.strip),
            lengths, lengths, st.integers(1, 99), st.booleans(), st.text(max_size=30),
        ),
        max_size=5, unique_by=lambda part: " ".join(part[0].split()).casefold(),
    ),
)  # fmt: skip
def test_any_part_comes_back_the_same(build, owner, system, form, parts):
    Part.objects.all().delete()
    build.length_system = system
    ply, _ = Material.objects.get_or_create(
        build=build, name="Ply", defaults={"kind": "sheet", "unit": "sheet"}
    )
    for name, length, width, count, mirrored, notes in parts:
        clean = "".join(c for c in name if c.isprintable()).strip() or "part"
        Part.objects.update_or_create(
            build=build, name=" ".join(clean.split()), material=ply,
            defaults={"length_mm": length, "width_mm": width, "count": 2 * count,
                      "mirrored": mirrored, "notes": notes.replace("\x00", "")},
        )  # fmt: skip
    out = tables(build, form)
    twin = empty_twin(build)
    bring_all(twin, owner, {key: out[key] for key in ("materials", "parts")})
    assert cells(tables(twin, form)["parts"]) == cells(out["parts"])
    stored = set(build.parts.values_list("length_mm", "width_mm"))
    assert set(twin.parts.values_list("length_mm", "width_mm")) == stored


minutes = st.datetimes(dt.datetime(1950, 1, 1), dt.datetime(2150, 1, 1)).map(
    lambda at: at.replace(second=0, microsecond=0, fold=0, tzinfo=dt.UTC)
)


@settings(max_examples=25, deadline=None,
          suppress_health_check=[HealthCheck.function_scoped_fixture])  # fmt: skip
@given(
    form=st.sampled_from(["csv", "xlsx"]),
    tasks=st.lists(
        st.tuples(
            st.sampled_from(["", *WorkKind.values]), st.booleans(), st.sampled_from(Doing.values),
            st.integers(0, 3660), st.none() | minutes, st.none() | st.integers(1, 999_999),
        ),
        max_size=5, unique_by=lambda task: task[5] or object(),
    ),
)  # fmt: skip
def test_whatever_a_task_keeps_to_comes_back_the_same(build, owner, form, tasks):
    Task.objects.all().delete()
    stage, _ = Stage.objects.get_or_create(build=build, name="Frames")
    limit, _ = WorkLimit.objects.get_or_create(build=build, name="Quiet", end_minute=1200)
    for number, (sort, quiet, doing, days, pinned, turn) in enumerate(tasks):
        Task.objects.create(
            build=build, stage=stage, code=f"T{number}", name="Job", work_kind=sort,
            limit=limit if quiet else None, doing=doing, bought_in_days=days, pinned_at=pinned,
            turn=turn,
        )  # fmt: skip
    twin = empty_twin(build)
    WorkLimit.objects.create(build=twin, name="Quiet", end_minute=1200)
    bring_all(twin, owner, {"tasks": tables(build, form)["tasks"]})
    names = ("work_kind", "limit__name", "doing", "bought_in_days", "pinned_at", "turn")
    back = twin.tasks.order_by("code").values_list(*names)
    assert list(back) == list(build.tasks.order_by("code").values_list(*names))


@given(st.decimals("-99999999", "99999999", places=4))
def test_any_number_is_written_so_that_it_is_read_in_one_way(number):
    from buildlog.units import parse_decimal

    assert parse_decimal(cell_text(number)) == number
