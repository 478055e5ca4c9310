from tasks.models.ahead import Answer, AnswerKind
from tasks.models.build import Build, Crew, Role
from tasks.models.kept import Baseline, BaselineTask, LaunchRecord
from tasks.models.people import Person
from tasks.models.plan import (
    DayOff,
    Doing,
    LagIn,
    Link,
    LinkKind,
    ShopHours,
    Stage,
    Task,
    WorkKind,
)
from tasks.models.shed import HeatedDays, HelpDay, TaskThing, Thing, WorkLimit
from tasks.models.work import Act, ActKind, Work

__all__ = [
    "Act",
    "ActKind",
    "Answer",
    "AnswerKind",
    "Baseline",
    "BaselineTask",
    "Build",
    "Crew",
    "DayOff",
    "Doing",
    "HeatedDays",
    "HelpDay",
    "LagIn",
    "LaunchRecord",
    "Link",
    "LinkKind",
    "Person",
    "Role",
    "ShopHours",
    "Stage",
    "Task",
    "TaskThing",
    "Thing",
    "Work",
    "WorkKind",
    "WorkLimit",
]
