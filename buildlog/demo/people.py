"""Supporters and updates of the invented build. Nobody here exists."""

from __future__ import annotations

SUPPORTERS = [
    "Adele", "Anselm", "Berit", "Bram", "Cato", "Clara and Finn", "Doortje", "Edda", "Emil",
    "Fenna", "Gerlof", "Hanneke", "Ida of the mill", "Ilse", "Jelle", "Jonna", "Kaj", "Kirsten",
    "Lasse", "Leonie", "Maarten", "Mads", "Nele", "Nora and the dog", "Odile", "Otto the older",
    "Pim", "Rieke", "Rosa", "Sanne", "Sverre", "Teun", "The rowing club", "The Thursday choir",
    "Tilde", "Ulla", "Veerle", "Wiebe", "Xander", "Yara",
]  # fmt: skip

UPDATES = [
    # days ago, title, which ten photos it chooses from, text, shown
    (395, "Lines on the floor", 0,
     "The whole boat now lies on the floor in pencil, full size. You can walk from bow to stern "
     "in nine steps. The table of heights had **one misprint**; the long batten found it.", True),
    (290, "Nine frames standing", 2,
     "They stand upside down on the strongback, plumb and square to a steel wire. For the first "
     "time the shed has a boat's shape in it.", True),
    (180, "Bulkheads, and a winter plan", 3,
     "Both bulkheads are in and taped. It gets cold now, and epoxy wants 12 degrees through the "
     "night, so glue-ups wait for warm spells and the rest goes on.\n\n- the deck beams are "
     "laminated\n- the keelson is next", True),
    (66, "The keelson is on", 4,
     "Three layers, scarfed and staggered. She would carry a horse.", True),
    (9, "Starboard bilge stiffener glued", 5,
     "Port follows as soon as the floor is warm enough. After that the chines, then fairing, "
     "then planking. Thank you all: the last load of ply is yours.", True),
    (2, "What I need in spring: twelve pairs of hands", 5,
     "A draft, about the turning-over day.", False),
]  # fmt: skip
