from __future__ import annotations

from buildlog.lists.cells import Choice, Day, Elapsed, Hours, Moment, Text, Whole, YesNo
from buildlog.lists.columns import Column
from buildlog.lists.fold import fold
from tasks.models import Doing, WorkKind

HANDS = Whole(least=1, most=99)
WORK_KINDS = {
    **{fold(word): kind for kind in WorkKind for word in (kind.value, kind.label)},
    **dict.fromkeys(("lofting", "marking out", "setting up"), WorkKind.SETTING_OUT),
    **dict.fromkeys(("cutting", "joinery", "planing"), WorkKind.FITTING),
    **dict.fromkeys(("glueing", "glue", "filleting", "laminating"), WorkKind.GLUING),
    **dict.fromkeys(("glassing", "cloth and resin"), WorkKind.SHEATHING),
    **dict.fromkeys(("sanding", "filling"), WorkKind.FAIRING),
    **dict.fromkeys(("paint", "painting", "varnish", "varnishing"), WorkKind.COATING),
    **dict.fromkeys(("fit out", "rigging", "hardware"), WorkKind.FITTING_OUT),
    **dict.fromkeys(("lifting", "turning", "turning over", "moving"), WorkKind.HANDLING),
}
DOING = {
    **{fold(word): doing for doing in Doing for word in (doing.value, doing.label)},
    **dict.fromkeys(("us", "me", "self", "ourselves"), Doing.OWN),
    **dict.fromkeys(("bought in with our material", "labour only"), Doing.BOUGHT_IN),
    **dict.fromkeys(("material and all", "labour and material"), Doing.BOUGHT_ALL),
    **dict.fromkeys(("dropped", "omitted", "not done"), Doing.LEFT_OUT),
}

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
    Column("work_kind", "sort of work", "sort of work", Choice(WORK_KINDS), (
        "kind of work", "type of work", "work kind", "trade",
    ), fallback=""),
    Column("limit", "limit it keeps to", "keeps to", Text(80, refers=True), (
        "limit", "work limit", "limited to",
    )),
    Column("doing", "how it is done", "who does it", Choice(DOING), (
        "done how", "way it is done", "by us or others",
    ), fallback=Doing.OWN),
    Column("bought_in_days", "days it takes if bought in", "days if bought", Whole(most=3660), (
        "days by others", "days away",
    ), fallback=0),
    Column("pinned_at", "starts at just this time", "pinned to", Moment(timed=True), (
        "pinned", "pinned at", "pin", "fixed start",
    )),
    Column("turn", "turn in the fixed order", "fixed turn", Whole(least=1, most=999_999), (
        "fixed order", "place in the fixed order",
    )),
)  # fmt: skip
