from __future__ import annotations

from buildlog.lists.cells import Day, Elapsed, Hours, Moment, Text, Whole, YesNo
from buildlog.lists.columns import Column

HANDS = Whole(least=1, most=99)

COLUMNS = (
    Column("code", "number", "id", Text(20), (
        "nr", "no", "#", "code", "task id", "task no", "task number", "job no", "job number", "ref",
    )),
    Column("stage", "stage", "stage", Text(80), (
        "section", "section of the build", "part of the build", "area", "group", "chapter", "where",
    ), fallback=""),
    Column("name", "what is to be done", "task", Text(200), (
        "job", "what", "name", "description", "work", "to do", "todo", "title", "item", "activity",
    ), needed=True),
    Column("low", "low hours", "low h", Hours(), (
        "low", "best", "best case", "least", "min", "minimum", "shortest", "optimistic", "quick",
        "if all goes well",
    )),
    Column("likely", "likely hours", "likely h", Hours(), (
        "likely", "hours", "hours guess", "guess", "guess hours", "estimate", "estimated hours",
        "most likely", "expected", "time", "duration", "hours needed", "hrs", "normal",
    )),
    Column("high", "high hours", "high h", Hours(), (
        "high", "worst", "worst case", "most", "max", "maximum", "longest", "pessimistic", "slow",
        "if all goes wrong",
    )),
    Column("hands", "hands", "hands", HANDS, (
        "men", "people", "persons", "crew", "helpers needed", "how many people", "workers",
    ), fallback=1),
    Column("unbroken", "must be done in one go", "unbroken", YesNo(), (
        "in one go", "one go", "one go only", "no stopping", "without a break", "no break",
    ), fallback=False),
    Column("cure", "cure", "cure h", Elapsed(), (
        "curing", "cures", "cure time", "drying", "drying time", "dry time", "glue time",
        "set time", "then leave",
    ), fallback=0),
    Column("not_before", "not before", "not before", Day(), (
        "earliest", "not earlier than", "no earlier than", "earliest start",
    )),
    Column("started", "started", "started", Moment(), ("begun", "start date", "started on")),
    Column("finished", "finished", "finished", Moment(), (
        "done", "done on", "finish date", "finished on", "completed", "completed on",
    )),
    Column("notes", "notes", "notes", Text(50_000, lines=True), (
        "note", "remarks", "remark", "comments", "comment", "details",
    ), fallback=""),
)  # fmt: skip
