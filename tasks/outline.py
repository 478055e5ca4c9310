"""A construction outline to start from: how a boat of plywood and epoxy usually comes together.

Common practice, no source. The hours are guesses for a boat of about six metres and one builder;
a designer's own sequence and a builder's own hours come first.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from tasks.models import Build, Link, LinkKind, Stage, Task

__all__ = ["OUTLINE", "Line", "draft"]


@dataclass(frozen=True, slots=True)
class Line:
    """A task of the outline. Hours of all people together; `after` names what must come before.

    `!code` in `after` waits for the start only; `~code` does not wait for the cure.
    """

    code: str
    name: str
    hours: tuple[float, float, float]
    after: tuple[str, ...] = ()
    hands: int = 1
    cure: float = 0
    unbroken: bool = False
    notes: str = ""


FUMES = "Gloves and fresh air; uncured resin and its dust harm skin and lungs."
LIFT = "Many hands, one voice. Plan the lift and pad the floor; nobody under the hull."

OUTLINE: dict[str, tuple[Line, ...]] = {
    "Setting up": (
        Line("1", "Make the shed ready: light, heat, bench, benches for sheets", (12, 20, 40)),
        Line("2", "Loft or print the lines and make patterns", (8, 16, 30)),
        Line("3", "Build and true the strongback", (6, 10, 16), ("1",)),
        Line("4", "Try the resin: a test pot, a test joint, broken when cured", (2, 3, 4), ("1",),
             cure=72, notes=FUMES),
    ),
    "Frames and bulkheads": (
        Line("5", "Cut frames, bulkheads and transom", (12, 20, 32), ("2",)),
        Line("6", "Glue doublers and cleats to the frames", (6, 10, 16), ("5", "4"), cure=24,
             notes=FUMES),
        Line("7", "Seal the end grain and coat the faces that will be hard to reach", (4, 7, 12),
             ("6",), cure=24, notes=FUMES),
        Line("8", "Laminate the stem", (4, 6, 10), ("2", "4"), cure=48, unbroken=True,
             notes=FUMES),
        Line("9", "Set up frames, stem and transom on the strongback", (8, 14, 24),
             ("3", "7", "8"), hands=2),
        Line("10", "Check the set-up: centre line, heights, square; fair with a batten", (4, 8, 14),
             ("9",), notes="Sight it from every side before anything is glued to it."),
    ),
    "Backbone and stringers": (
        Line("11", "Mill and scarf keelson, chine logs, stringers and sheer clamps", (10, 16, 26),
             ("2", "4"), cure=24),
        Line("12", "Fit and glue the keelson", (4, 6, 10), ("10", "11"), hands=2, cure=24,
             unbroken=True, notes=FUMES),
        Line("13", "Fit and glue chine logs and stringers", (10, 16, 28), ("12",), hands=2,
             cure=24, notes=FUMES),
        Line("14", "Fit and glue sheer clamps", (5, 8, 14), ("12",), hands=2, cure=24,
             notes=FUMES),
        Line("15", "Bevel everything fair for the planking", (12, 20, 36), ("13", "14")),
    ),
    "Planking": (
        Line("16", "Scarf the sheets to length", (6, 10, 16), ("4",), cure=24),
        Line("17", "Spile, cut and dry-fit the bottom panels", (8, 12, 20), ("15", "16"), hands=2),
        Line("18", "Spile, cut and dry-fit the side panels", (8, 12, 20), ("15", "16"), hands=2),
        Line("19", "Photograph and coat what the planking will close in", (3, 5, 8),
             ("17", "18"), cure=24),
        Line("20", "Glue on the side panels", (6, 9, 14), ("19",), hands=2, cure=24,
             unbroken=True, notes=FUMES),
        Line("21", "Glue on the bottom panels", (6, 9, 14), ("20",), hands=2, cure=24,
             unbroken=True, notes=FUMES),
        Line("22", "Plug, fill and fair the seams; round the chines", (10, 18, 30), ("21",),
             cure=24, notes=FUMES),
    ),
    "Outside of the hull": (
        Line("23", "Sheathe the hull with cloth and resin", (8, 12, 18), ("22",), hands=2,
             cure=48, unbroken=True, notes=FUMES),
        Line("24", "Fill the weave and fair the hull", (20, 40, 80), ("23",), cure=48,
             notes=FUMES),
        Line("25", "Fit the outer stem, keel shoe and skegs", (8, 14, 24), ("24",), cure=24),
        Line("26", "Prime and paint the hull to the waterline", (12, 20, 30), ("25",), cure=48),
    ),
    "Turning over": (
        Line("27", "Build the cradle and the gear for turning", (6, 10, 16), ("23",)),
        Line("28", "Turn the hull over", (12, 18, 30), ("26", "27"), hands=8, unbroken=True,
             notes=LIFT),
        Line("29", "Level and brace the hull in the cradle", (2, 4, 6), ("28",), hands=2),
    ),
    "Inside of the hull": (
        Line("30", "Fillet and tape the inside joints", (14, 24, 40), ("29",), cure=24,
             notes=FUMES),
        Line("31", "Fit floors and engine or keel structure, as the designer draws it",
             (10, 18, 30), ("30",), cure=24),
        Line("32", "Coat the inside, three times", (10, 16, 24), ("31",), cure=48, notes=FUMES),
        Line("33", "Fit berths, lockers and galley", (40, 70, 120), ("32",)),
        Line("34", "Fit the cockpit sole and seats", (20, 32, 50), ("32",), cure=24),
        Line("35", "Buoyancy: fill or seal the chambers and try them with air", (4, 8, 12),
             ("~34",)),
        Line("36", "Run wiring and pipes before they are closed in", (12, 20, 40), ("!33",)),
    ),
    "Deck and cabin": (
        Line("37", "Fit deck beams and carlins", (12, 20, 32), ("31",), cure=24),
        Line("38", "Set the coachroof: sides and beams", (16, 26, 40), ("37",), cure=24),
        Line("39", "Photograph and coat what the deck will close in", (3, 5, 8),
             ("38", "35", "36"), cure=24),
        Line("40", "Glue on the deck", (8, 14, 20), ("39",), hands=2, cure=24, unbroken=True,
             notes=FUMES),
        Line("41", "Glue on the cabin top", (6, 10, 14), ("39",), hands=2, cure=24,
             unbroken=True, notes=FUMES),
        Line("42", "Sheathe deck and cabin top", (8, 12, 20), ("40", "41"), hands=2, cure=48,
             unbroken=True, notes=FUMES),
        Line("43", "Fit coamings, hatches and windows", (24, 40, 70), ("42",)),
        Line("44", "Fit rubbing strakes and toe rails", (10, 16, 26), ("42",), cure=24),
    ),
    "Spars, rudder and centreboard": (
        Line("45", "Glue up the mast", (6, 10, 16), ("4",), hands=2, cure=48, unbroken=True,
             notes=FUMES),
        Line("46", "Shape, sand and coat the mast", (14, 24, 40), ("45",), cure=48),
        Line("47", "Make boom and other spars", (10, 16, 26), ("4",), cure=48),
        Line("48", "Make rudder and tiller", (12, 18, 30), ("4",), cure=24),
        Line("49", "Make the centreboard or keel, as the designer draws it", (10, 18, 30), ("4",),
             cure=24),
    ),
    "Paint and varnish": (
        Line("50", "Prime and paint the topsides", (16, 26, 40), ("44",), cure=48),
        Line("51", "Paint the deck, with grip underfoot", (10, 16, 24), ("43", "44"), cure=48),
        Line("52", "Varnish the brightwork", (12, 20, 36), ("44",), cure=48),
        Line("53", "Paint inside", (12, 20, 32), ("33", "34", "42"), cure=24),
    ),
    "Fitting out": (
        Line("54", "Deck fittings and chain plates, bedded and backed", (14, 24, 40),
             ("50", "51", "52")),
        Line("55", "Engine and fuel, by the maker's book", (10, 20, 40), ("53",)),
        Line("56", "Electrics: battery, lights, bilge pump", (10, 18, 30), ("36", "53")),
        Line("57", "Hang the rudder, fit the centreboard", (4, 8, 12), ("48", "49", "50")),
        Line("58", "Step the mast and rig her ashore", (6, 10, 16), ("46", "47", "54"), hands=3),
    ),
    "Launch": (
        Line("59", "Antifouling", (4, 6, 8), ("26", "57"), cure=24),
        Line("60", "Papers, insurance, safety gear", (4, 8, 16), ("!54",)),
        Line("61", "Check every through-hull, hose and seam before she floats", (2, 3, 5),
             ("55", "56", "57", "58")),
        Line("62", "Launch", (6, 8, 12), ("59", "60", "61"), hands=4, unbroken=True,
             notes="Slings where the designer shows them; somebody below watches the bilge."),
    ),
}  # fmt: skip


@transaction.atomic
def draft(build: Build) -> int:
    """Write the outline into a build that has no tasks; gives how many were written.

    A build that has tasks is left as it is.
    """
    if Task.objects.filter(build=build).exists():
        return 0
    tasks: dict[str, Task] = {}
    for order, (name, lines) in enumerate(OUTLINE.items()):
        stage, _ = Stage.objects.get_or_create(build=build, name=name, defaults={"order": order})
        for place, line in enumerate(lines):
            tasks[line.code] = _task(build, stage, place, line)
    Task.objects.bulk_create(tasks.values())
    Link.objects.bulk_create(
        _link(build, tasks, before, tasks[line.code])
        for lines in OUTLINE.values()
        for line in lines
        for before in line.after
    )
    build.touch_plan()
    return len(tasks)


def _task(build: Build, stage: Stage, place: int, line: Line) -> Task:
    low, likely, high = (round(hours * 60) for hours in line.hours)
    return Task(
        build=build, stage=stage, code=line.code, name=line.name, order=place,
        low_minutes=low, likely_minutes=likely, high_minutes=high, hands=line.hands,
        unbroken=line.unbroken, cure_minutes=round(line.cure * 60), notes=line.notes,
    )  # fmt: skip


def _link(build: Build, tasks: dict[str, Task], before: str, after: Task) -> Link:
    return Link(
        build=build,
        before=tasks[before.lstrip("!~")],
        after=after,
        kind=LinkKind.START_START if before.startswith("!") else LinkKind.FINISH_START,
        waits_for_cure=not before.startswith("~"),
    )
