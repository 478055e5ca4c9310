"""Lines of the log that belong to no one task, and a winter's temperatures. All invented."""

from __future__ import annotations

import random

BETWEEN = [
    "Swept, sorted, burned the scraps. The shed is a shed again.",
    "Ply came. Stacked flat on bearers with stickers, weights on top.",
    "Sharpened everything. An evening well lost.",
    "Too cold for glue: 7 degrees. Read the plans again, found the note on the floors.",
    "Nothing today but looking. Sat on a bucket for an hour, which also counts.",
    "Moved the lights. Should have done that a year ago.",
    "Wrote to the yard about the void in sheet 3. They will replace it.",
    "Helper came, left with sawdust in her hair and a smile.",
    "Rain through the roof by the door. Patched it, moved the ply.",
    "Made twelve more cam clamps from the offcuts.",
    "Bandsaw blade snapped. Fitted the last one; ordered three.",
    "Counted screws. Fewer than the book says.",
    "Dry run of the next glue-up: eleven minutes to get all clamps on. Too slow, again.",
    "Eight minutes. That will do.",
    "Visitors: two children who asked better questions than anyone so far.",
    "Weighed the resin left in the cans, wrote it on the lids.",
    "Dehumidifier full overnight. The ply reads 9 per cent.",
    "Dropped the good square. Checked it: still square. Breathed again.",
    "Made the jig for the scarfs, 12 to 1, from the last of the 18.",
    "Scarf test piece broke in the wood, not in the joint.",
    "Thermometer says 4 at night, 11 by noon. Nothing glued.",
    "Measured frame spacing once more, since I could not sleep for doubting it. It is right.",
    "Painted the loft floor's lines again where feet had worn them.",
    "Rent, power and the accounts. Receipts all in.",
    "Fixed the extractor's hose with a bicycle tube.",
    "Ordered bolts from abroad; the rate is what it is.",
    "Batten cracked. Made two new ones from clear stock.",
    "A whole Saturday with the doors open and the radio low.",
    "Planer knives: nicked by a staple. Mine.",
    "Offcuts sorted by thickness, labelled, on the rack by the bandsaw.",
    "Tried the new filter mask: warm, but no headache.",
    "Neighbour brought soup. Wrote his name on a frame where nobody will ever see it.",
    "Scraped squeeze-out for two hours. Peel ply next time.",
    "Checked moisture of the fir: 12 per cent.",
    "Put the wire back up, somebody (me) had walked into it.",
    "Second coat on the saw horses. It is that kind of month.",
    "Drew the sequence for the chines on the wall in chalk.",
    "Fire bucket, blanket, extinguisher: checked dates, all good.",
    "Made a tray for screws that does not tip over.",
    "Water tube again; floor has not moved since spring.",
]

#: Mean air temperature of the shed by month, °C, January first: made up, a mild coast.
SHED_AIR = (7, 7, 9, 12, 15, 18, 20, 20, 17, 13, 10, 8)


WENT_ON = (
    "On with it: {task}.",
    "More of the same: {task}.",
    "{task}. Slow, but it goes.",
    "{task}. Stopped before I got tired, for once.",
    "{task}. Better than yesterday.",
)


def went_on(task: str, chooser: random.Random) -> str:
    """A line for an evening on which nothing was worth more than a line."""
    line = chooser.choice(WENT_ON)
    name = task if line.startswith("{") else task[0].lower() + task[1:]
    return line.format(task=name)
