from __future__ import annotations

from buildlog.lists.cells import Choice, Text, Wait, YesNo
from buildlog.lists.columns import Column
from tasks.models import LagIn, LinkKind

KINDS = {
    "finish start": LinkKind.FINISH_START, "finish to start": LinkKind.FINISH_START,
    "fs": LinkKind.FINISH_START, "starts after it is finished": LinkKind.FINISH_START,
    "start start": LinkKind.START_START, "start to start": LinkKind.START_START,
    "ss": LinkKind.START_START, "starts after it has started": LinkKind.START_START,
    "finish finish": LinkKind.FINISH_FINISH, "finish to finish": LinkKind.FINISH_FINISH,
    "ff": LinkKind.FINISH_FINISH, "finishes after it is finished": LinkKind.FINISH_FINISH,
    "start finish": LinkKind.START_FINISH, "start to finish": LinkKind.START_FINISH,
    "sf": LinkKind.START_FINISH, "finishes after it has started": LinkKind.START_FINISH,
}  # fmt: skip
LAG_IN = {
    **dict.fromkeys(("shop", "shop hours", "working", "working hours", "work"), LagIn.SHOP),
    **dict.fromkeys(("elapsed", "clock", "by the clock", "hours by the clock", "cure", "calendar"),
                    LagIn.ELAPSED),
}  # fmt: skip

COLUMNS = (
    Column("before", "first task", "before", Text(200), (
        "first", "from", "this", "task before", "predecessor", "earlier",
    ), needed=True),
    Column("after", "then task", "after", Text(200), (
        "then", "to", "next", "task after", "successor", "later",
    ), needed=True),
    Column("kind", "kind of link", "kind", Choice(KINDS), ("type", "link", "relation"),
           fallback=LinkKind.FINISH_START),
    Column("lag", "wait", "lag h", Wait(), ("lag", "wait", "waiting", "pause", "gap", "delay")),
    Column("lag_in", "the wait is in", "lag is", Choice(LAG_IN), (
        "lag in", "wait is", "wait in", "in shop or clock",
    )),
    Column("waits_for_cure", "waits for the cure", "waits for cure", YesNo(), fallback=True),
)  # fmt: skip
