from tasks.models.build import Build, Crew, Role
from tasks.models.people import Person
from tasks.models.plan import DayOff, LagIn, Link, LinkKind, ShopHours, Stage, Task
from tasks.models.work import Act, ActKind, Work

__all__ = [
    "Act",
    "ActKind",
    "Build",
    "Crew",
    "DayOff",
    "LagIn",
    "Link",
    "LinkKind",
    "Person",
    "Role",
    "ShopHours",
    "Stage",
    "Task",
    "Work",
]
