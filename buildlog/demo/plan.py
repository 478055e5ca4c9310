"""The plan of the invented build: stages, tasks, links, and a few words logged at each task.

Marram is a 7.6 m cruising boat in sheet plywood over frames and stiffeners, built upside down.
Everything here is made up.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DemoTask:
    """Hours are people-hours: low, likely, high. `cure` is in hours by the clock."""

    code: str
    stage: str
    name: str
    hours: tuple[float, float, float]
    after: tuple[str, ...] = ()
    hands: int = 1
    unbroken: bool = False
    cure: int = 0
    notes: str = ""
    log: tuple[str, ...] = ()
    worked: float = 1.0  # logged hours for each likely hour, once done


def t(code: str, stage: str, name: str, low: float, likely: float, high: float,
      *after: str, **more) -> DemoTask:  # fmt: skip
    return DemoTask(code, stage, name, (low, likely, high), after, **more)


# How far the build has come: these are done, these are in hand with a share of their hours worked.
DONE_THROUGH = "S4"
IN_HAND = {"S5": 0.45, "C1": 0.2}

TASKS: list[DemoTask] = [
    t("L1", "Lofting", "Paint and level the loft floor", 8, 12, 18, log=(
        "Two coats of white on the ply floor, sanded between. Level to 2 mm corner to corner.",)),
    t("L2", "Lofting", "Loft the lines full size", 32, 48, 72, "L1", worked=1.3, log=(
        "Base line, centre line, stations. Checked the diagonals three times.",
        "Sheer and chines in with the long batten. The table of heights has one clear misprint at "
        "station 4: took the fair line, wrote to the designer.",
        "Designer answered: the fair line is right. Body plan done.")),
    t("L3", "Lofting", "Make patterns for frames and stem", 16, 24, 36, "L2", log=(
        "Patterns for frames 1 to 5 in 4 mm ply. Marked water lines and centre line on each.",
        "Rest of the patterns, and the stem. Labelled, hung on the wall.")),
    t("L4", "Lofting", "Pick up bevels for the stiffeners", 8, 12, 20, "L2", log=(
        "Bevel board done. Port and starboard agree to half a degree.",)),
    t("G1", "Strongback", "Build the strongback", 16, 24, 32, "L1", log=(
        "Two long girders of 45 by 195, legs bolted to the floor.",
        "Cross spalls on. Rolled a marble along it: it stays.")),
    t("G2", "Strongback", "Level it and stretch the centre wire", 6, 8, 12, "G1", hands=2, log=(
        "Wire tight as a string. Level within 1 mm over 7.6 m with the water tube.",)),
    t("F1", "Frames", "Cut frames 1 to 3", 16, 24, 32, "L3", log=(
        "Nested the three on one sheet with room to spare for the cleats.",
        "Cut and planed to the line. The saw wanders on 18 mm; finish with the long plane.")),
    t("F2", "Frames", "Cut frames 4 to 6", 16, 24, 32, "L3", worked=1.2, log=(
        "Frame 4 and 5 cut. Frame 5 split along a void: wrote to the yard, they replace the sheet.",
        "New sheet came. Frame 5 again, and 6.")),
    t("F3", "Frames", "Cut frames 7 to 9 and the transom", 20, 28, 40, "L3", log=(
        "Seven and eight. Floor full of dust; mask and extractor from now on, no excuses.",
        "Nine and the transom. The transom's camber is lovely.")),
    t("F4", "Frames", "Glue frame doublers and floors, 1 to 5", 5, 7, 10, "F1", "F2",
      unbroken=True, cure=24, log=(
        "All ten doublers in one go. Five pots, none kicked off. 14 clamps a frame.",
        "Squeeze-out scraped green. Gloves and barrier cream, window open.")),
    t("F5", "Frames", "Glue frame doublers and floors, 6 to 9", 5, 6, 9, "F3", "F4",
      unbroken=True, cure=24, worked=1.3, log=(
        "Cold: 12 on the floor. Slow hardener stays in the cupboard, used the fast one.",)),
    t("F6", "Frames", "Notch the frames for stiffeners", 12, 18, 28, "F4", "F5", "L4", worked=1.4,
      log=("Notches cut 2 mm shy, to be opened on the strongback when the battens say so.",
           "Done. Sharpened the paring chisel twice.")),
    t("F7", "Frames", "Seal the frames' end grain", 8, 10, 14, "F6", cure=16, log=(
        "Two coats of thin epoxy on all edges.",)),
    t("F8", "Frames", "Set up frames on the strongback", 24, 36, 52, "F7", "G2", hands=2, log=(
        "Set up 5 first, plumb and square to the wire, then out both ways.",
        "All nine up and braced. Sheer batten lies fair without being asked.",
        "Moved frame 7 forward 4 mm. Now everything touches.")),
    t("B1", "Bulkheads", "Laminate the stem", 6, 8, 12, "L3", unbroken=True, cure=36, log=(
        "Eleven strips, dry run first. Every clamp in the shed, and two borrowed.",)),
    t("B2", "Bulkheads", "Shape and set up the stem", 12, 18, 28, "B1", "F8", log=(
        "Plane, spokeshave, plane. The rabbet stays off: plank lands on the face here.",
        "Stem bolted, scarfed to the keelson blank.")),
    t("B3", "Bulkheads", "Cut the forward bulkhead and the main bulkhead", 16, 22, 30, "L3", log=(
        "Main bulkhead from one sheet on its long side. Door opening left solid until it is in.",
        "Forward bulkhead, with the hole for the hatch.")),
    t("B4", "Bulkheads", "Cleats and uprights on the main bulkhead", 5, 7, 10, "B3",
      unbroken=True, cure=24, log=(
        "Glue-up went well: dry run, numbered cleats, everything within reach.",)),
    t("B5", "Bulkheads", "Set the bulkheads in", 12, 18, 26, "B4", "F8", hands=2, log=(
        "Main bulkhead is plumb; forward one needed a shim of 3 mm, as drawn on the floor.",)),
    t("B6", "Bulkheads", "Laminate deck beams", 20, 28, 40, "L3", cure=24, log=(
        "Jig made from the floor offcut.", "Six beams, one an evening.",
        "Last three. Spring back 4 mm on the first, none on the rest: left them longer.")),
    t("B7", "Bulkheads", "Tape and fillet the bulkheads", 6, 8, 12, "B5", cure=24,
      worked=1.5, log=("Fillets 25 mm. Peel ply saves a day of sanding.",
                       "Second side. Ran out of thickener at eight; finished thin.")),
    t("K1", "Keelson", "Laminate the keelson", 16, 22, 32, "F8", "B2", cure=36, log=(
        "First layer on. Scarfs staggered.", "Second and third. Ratchet straps at every frame.")),
    t("K2", "Keelson", "Bevel the keelson", 12, 18, 28, "K1", log=(
        "Bevels with a batten across three frames. Shavings to the ankle.",)),
    t("K3", "Keelson", "Fit floors over the keelson bolts", 12, 16, 24, "K2", log=(
        "Bolt centres from the designer's keel sheet, drilled from a jig. As drawn.",)),
    t("S1", "Stiffeners", "Scarf and mill stiffener stock", 16, 22, 30, "F6", cure=16, log=(
        "Scarfs 12 to 1, jig on the bandsaw. Six long pieces.",
        "Milled to 30 by 45 with the bevel on.")),
    t("S2", "Stiffeners", "Fit sheer clamps", 16, 24, 34, "S1", "B5", hands=2, log=(
        "Steam for twenty minutes in the bag, then bend like rope.",
        "Port lies fair. Starboard wants one more frame notch.")),
    t("S3", "Stiffeners", "Glue sheer clamps", 5, 6, 9, "S2", hands=2, unbroken=True, cure=36, log=(
        "Two of us, five hours, not a drop wasted.",)),
    t("S4", "Stiffeners", "Fit and glue the starboard bilge stiffener", 16, 22, 30, "S1", "K3",
      hands=2, cure=36, worked=1.3, log=(
        "Dry fit. Notch at frame 6 a touch deep, shim of oak.",
        "Glued. Floor 9 degrees in the evening: heater on low, watched, off before leaving.")),
    t("S5", "Stiffeners", "Fit and dry-clamp the port bilge stiffener", 8, 10, 16, "S4", log=(
        "Offered it up. Two notches to ease.",)),
    t("S6", "Stiffeners", "Glue the port bilge stiffener", 4, 5, 7, "S5", hands=2, unbroken=True,
      cure=36, notes="Surface above 12 °C through the night."),
    t("S7", "Stiffeners", "Fit chine stiffeners, both sides", 28, 40, 56, "S6", hands=2),
    t("S8", "Stiffeners", "Glue chine stiffeners", 8, 10, 14, "S7", hands=2, unbroken=True, cure=36,
      notes="One side at a time if the day is short, with the joint at frame 5."),
    t("S9", "Stiffeners", "Fair the whole skeleton", 24, 36, 56, "S8", "K3", "S3",
      notes="Batten in every direction. Nothing is planked until this is done."),
    t("P1", "Planking", "Scarf sheets for the bottom", 6, 8, 11, "F3", unbroken=True, cure=24),
    t("P2", "Planking", "Cut the bottom panels", 12, 18, 26, "P1", "S9"),
    t("P3", "Planking", "Hang the bottom, starboard", 6, 8, 11, "P2", hands=2, unbroken=True,
      cure=24),
    t("P4", "Planking", "Hang the bottom, port", 6, 8, 11, "P3", hands=2, unbroken=True, cure=24),
    t("P5", "Planking", "Scarf sheets for the bilge and topsides", 16, 22, 30, "P1", cure=24),
    t("P6", "Planking", "Hang the bilge panels", 24, 32, 44, "P4", "P5", hands=2, cure=24),
    t("P7", "Planking", "Hang the topsides", 28, 36, 50, "P6", hands=2, cure=24),
    t("P8", "Planking", "Trim, plug and fair the hull", 36, 52, 80, "P7", cure=16),
    t("P9", "Planking", "Backbone deadwood and skeg", 20, 28, 40, "P8", cure=36,
      notes="Ballast and keel attachment only as the designer drew them."),
    t("H1", "Sheathing", "Round edges, tape the chines", 20, 28, 40, "P8", cure=24),
    t("H2", "Sheathing", "Sheathe the hull in glass, starboard", 16, 20, 26, "H1", "P9", hands=2,
      cure=24),
    t("H3", "Sheathing", "Sheathe the hull in glass, port", 16, 20, 26, "H2", hands=2,
      cure=24),
    t("H4", "Sheathing", "Fill the weave and long-board", 48, 68, 100, "H3", cure=24),
    t("H5", "Sheathing", "Prime the hull", 12, 16, 24, "H4", cure=48),
    t("T1", "Turning over", "Build the cradle and rails", 20, 28, 40, "L1"),
    t("T2", "Turning over", "Turn her over", 8, 12, 24, "T1", "H5", hands=12, unbroken=True,
      notes="Twelve pairs of hands. One person calls, nobody stands under her."),
    t("T3", "Turning over", "Level her in the cradle, brace", 8, 12, 18, "T2", hands=2),
    t("I1", "Interior", "Clean and seal the inside", 20, 28, 40, "T3", cure=24),
    t("I2", "Interior", "Fillet and tape the inside of the chines", 28, 40, 56, "I1", cure=24),
    t("I3", "Interior", "Sole bearers and sole", 20, 28, 40, "I2"),
    t("I4", "Interior", "Berth fronts and tops", 28, 40, 60, "I3", cure=24),
    t("I5", "Interior", "Galley", 24, 36, 56, "I3", cure=24),
    t("I6", "Interior", "Chart table and lockers", 24, 36, 52, "I4", cure=24),
    t("I7", "Interior", "Paint the inside", 24, 32, 48, "I5", "I6", cure=24,
      notes="Open hatches, mask with the right filter, nobody sleeps aboard."),
    t("C1", "Cockpit", "Cut blanks for the cockpit sole", 2, 4, 6, "L3", log=(
        "Marked one out on the 12 mm offcut.",)),
    t("C2", "Cockpit", "Cockpit sole and sides", 28, 40, 56, "C1", "I1", cure=24),
    t("C3", "Cockpit", "Seat lockers and coamings", 24, 36, 52, "C2", cure=24),
    t("C4", "Cockpit", "Drains and scuppers", 8, 12, 18, "C2"),
    t("D1", "Deck", "Fit deck beams and carlins", 28, 40, 56, "I2", "B6", "C2", hands=2, cure=24),
    t("D2", "Deck", "Cut and dry-fit the deck", 20, 28, 40, "D1"),
    t("D3", "Deck", "Photograph, measure and seal what the deck closes in", 8, 12, 16, "D2", "I7",
      cure=24),
    t("D4", "Deck", "Glue the first layer of deck", 16, 20, 28, "D3", hands=3, cure=24),
    t("D5", "Deck", "Glue the second layer of deck", 16, 20, 28, "D4", hands=3, cure=24),
    t("D6", "Deck", "Sheathe the deck", 16, 22, 30, "D5", "C3", hands=2, cure=36),
    t("D7", "Deck", "Cabin sides and top", 48, 68, 96, "D4", cure=36),
    t("D8", "Deck", "Hatches and companionway", 32, 44, 64, "D7"),
    t("D9", "Deck", "Rubbing strakes and toe rail", 20, 28, 40, "D6", hands=2, cure=24),
    t("W1", "Windows", "Windows and deck fittings", 28, 40, 60, "D7", "D9"),
    t("M1", "Spars", "Scarf and glue the mast staves", 20, 28, 36, "L1", hands=2, cure=48),
    t("M2", "Spars", "Shape the mast", 40, 56, 80, "M1"),
    t("M3", "Spars", "Boom and gaff", 24, 32, 48, "M1", cure=24),
    t("M4", "Spars", "Varnish the spars", 20, 24, 36, "M2", "M3", cure=72),
    t("M5", "Spars", "Standing rigging", 20, 28, 40, "M4"),
    t("R1", "Rudder", "Rudder and tiller", 28, 36, 52, "P9", cure=36),
    t("E1", "Engine", "Engine beds and shaft line", 28, 40, 64, "I2", cure=36),
    t("E2", "Engine", "Engine, tank and electrics", 48, 68, 110, "E1", "I7",
      notes="Fuel and wiring to the local rules; have it looked over before it runs."),
    t("Q1", "Paint", "Fair and prime deck and cabin", 36, 52, 80, "D6", "D8", "W1", cure=48),
    t("Q2", "Paint", "Paint topsides and deck", 32, 44, 64, "Q1", cure=72),
    t("Q3", "Paint", "Antifouling", 8, 10, 16, "Q2", cure=24),
    t("Z1", "Launch", "Ballast in and keel bolts torqued", 12, 16, 24, "T3", "K3", hands=4,
      notes="Lifting gear checked first. As the designer drew it."),
    t("Z2", "Launch", "Fit rudder, engine trial ashore", 12, 18, 28, "R1", "E2", "Q3", hands=2),
    t("Z3", "Launch", "Step the mast, rig, launch", 6, 8, 14, "Z1", "Z2", "M5", "Q3", hands=4,
      unbroken=True),
]  # fmt: skip

# Links that are not plain finish-to-start: (before, after, kind, lag in hours, counted in).
OTHER_LINKS: list[tuple[str, str, str, int, str]] = [
    ("D7", "D8", "start-start", 12, "shop"),
    ("I4", "I6", "finish-finish", 4, "shop"),
    ("Q1", "Q2", "finish-start", 24, "elapsed"),
]
