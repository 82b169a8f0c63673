"""The usual cautions, worded once, put where they belong in the recipe.

The frame of all of them: this software watches nothing and switches nothing. Local
electrical codes and a licensed electrician decide what a heated bender must have.
"""

from __future__ import annotations

ELECTRICAL = (
    "Metal slats and the bender's frame bonded to earth, supply through a residual-current "
    "device; look the blanket over for nicks and burnt spots before every use.",
    "Follow the local electrical code and have a licensed electrician check the wiring.",
)
CUT_OUT = (
    "Fit an independent over-temperature cut-out with its own sensor, set below the blanket's "
    "rating, and a mechanical timer; test both before the heat.",
)
WATER = (
    "Water and mains apart: spray and tray away from plugs, dials and the blanket's leads; "
    "hands dry before touching them.",
)
FIRE = (
    "Never leave the heat unattended. Extinguisher at hand, bender on a metal base, nothing "
    "that burns around it; look again half an hour after the heat is off.",
)
UNPLUG = ("Unplug, not merely off: a switch or thermostat can fail closed.",)
STEAM = ("Steam burns when the wrap is opened: turn it away from face and wrists.",)
PINCH = ("Rams and clamps pinch: fingers clear of the gap before the screw turns.",)
SLAT_EDGES = (
    "Slat edges cut and slats spring: eye protection and gloves whenever they are bent or freed.",
)
HOT_SURFACES = ("Slats, clamps and form stay hot enough to burn for a long while: gloves.",)
SILICONE = (
    "Air the room: an overheated silicone blanket gives off irritating vapour, and warm "
    "resinous woods fume.",
)
