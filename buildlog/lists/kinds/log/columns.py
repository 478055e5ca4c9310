from __future__ import annotations

from decimal import Decimal

from buildlog.lists.cells import Day, Hours, Measure, Number, Text
from buildlog.lists.columns import Column

AIR = Measure("temperature", "°C", least=Decimal(-60), most=Decimal(90))
PERCENT = Number("%", most=Decimal(100), places=2)

COLUMNS = (
    Column("day", "day of the work", "date", Day(), (
        "day", "when", "on", "worked on",
    ), needed=True),
    Column("task", "task", "task", Text(200, refers=True), (
        "job", "nr", "task no", "job no", "on task", "what",
    )),
    Column("person", "who", "person", Text(120), ("name", "by", "worker", "who", "whom", "hand")),
    Column("hours", "hours", "hours", Hours(), (
        "h", "hrs", "time", "worked", "hours worked", "duration",
    )),
    Column("air", "air, °C", "air c", AIR, (
        "air", "temp", "temperature", "air temperature", "shed",
    )),
    Column("surface", "surface, °C", "surface c", AIR, ("surface", "surface temperature")),
    Column("humidity", "relative humidity, %", "humidity %", PERCENT, (
        "humidity", "rh", "relative humidity",
    )),
    Column("text", "what was done", "text", Text(50_000, lines=True), (
        "notes", "note", "remarks", "entry", "log", "comment", "comments", "description",
        "what was done", "what happened", "words",
    ), fallback=""),
)  # fmt: skip
