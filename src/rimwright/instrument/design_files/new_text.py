"""The texts of a new design file and a new shop file."""

from __future__ import annotations

#: With {name}, {player}, {show}, {outline}, {depth_tail}, {depth_neck} and {sides} to fill in.
DESIGN_TEXT = """\
# A design for Rimwright. Quantities are text with a unit, inch or metric:
# "2.1 mm", "85 thou", "4 13/16 in", "15 ft", "230 degF", "10 min".
# Lines that begin with # are notes, or choices not made: take the # away to make one.
# What is not said is assumed, and the plan lists it first.

[instrument]
name = {name}
player = {player:<17} # the player's hand: right or left
show = {show:<19} # figures on the sheets: metric or inch

[outline]
line = "outside"           # what the line is: outside (finished rim, binding flush), inside,
                           # overhang (edge of the plates) or mould (what the mould is cut to)
# overhang = "2 mm"        # for line = "overhang"; mould_clearance for line = "mould"
# seen_from = "back"       # the side from which the plan is seen: face or back

{outline}
[plates]
depth_tail = {depth_tail:<13} # on the outline, at the tail
depth_neck = {depth_neck:<13} # and at the neck
depth_is = "rim"           # or "over the plates": with both plates' thickness

# [plates.top]             # left out: flat
# shape = "dome"           # flat, cylinder or dome
# radius = "28 ft"
# flat_from = "340 mm"     # runs flat from this station to the neck

# [plates.back]            # left out: flat
# shape = "dome"
# radius = "15 ft"

# [ends]
# neck_block_width = "56 mm"
# neck_block_length = "50 mm"
# neck_block_kind = "dovetail"
# tail_block_width = "60 mm"
# bass_ends = "centreline" # or "across the block", "flank", "first touch", "slots"
# treble_ends = "flank"    # a cutaway side commonly ends at the block's flank
# trim_tail = "20 mm"      # left over to trim
# trim_neck = "20 mm"

[sides]
{sides}# finished_thickness = "1.9 mm"
# figure = "plain"         # plain, some or strong
# grain_angle = "3 deg"    # run-out
# board_width = "120 mm"
# board_length = "820 mm"

# [[sides.thinned]]        # a stretch made thinner than the rest
# hand = "treble"
# from = "560 mm"          # from the tail seam along the outside of the rim
# to = "640 mm"
# thickness = "1.9 mm"

# [[bindings]]             # bent together with the side; once more for each further kind
# wood = "sugar maple"
# thickness = "1.5 mm"     # across the bend
# height = "6 mm"
# count = 1                # loose layers
# place = "outside"        # inside, outside or beside the side

# [[purflings]]            # the same keys
# wood = "sugar maple"
# thickness = "0.5 mm"
# height = "1.5 mm"

# [linings]
# kind = "kerfed"          # kerfed, solid or laminated
# thickness = "5.5 mm"
# height = "14 mm"

# [wetting]
# method = "mist"          # dry, mist, dip or soak
# stand = "10 min"         # wrapped, before the heat

# [heating]
# school = "misted"        # whose temperatures
# target = "230 degF"
# rest = "24 h"

# [margins]
# strain = "85 %"          # of what the wood bears
# strip_end = "25 mm"      # over at each end of bindings
# blank_edge = "3 mm"      # extra width of the blank at each edge
"""

SHOP_TEXT = """\
# What belongs to the shop and not to one instrument; every design in this folder reads it.
# Until the stack is said, forms are drawn from the usual one and say ASSUMED.

# shop = "the shop's name"

# [equipment]
# probe = "between spring steel slat and blanket"   # two neighbours, the inner one first
# stack = [                                         # from the form outwards
#   { kind = "slat", material = "spring steel", thickness = "10 thou", temper = "blue tempered" },
#   { kind = "wrap", material = "paper", thickness = "4 thou" },
#   { kind = "side" },
#   { kind = "wrap", material = "paper", thickness = "4 thou" },
#   { kind = "slat", material = "spring steel", thickness = "10 thou", temper = "blue tempered" },
#   { kind = "blanket" },
# ]

# [equipment.blanket]
# length = "36 in"
# width = "6 in"
# thickness = "1.6 mm"
# power_density = "5 W/in^2"
# least_radius = "10 mm"
# control = "dial"                                  # dial, thermostat or controller

# [room]
# temperature = "70 degF"
# humidity = "45 %"

# [hours]
# opens = "08:00"
# closes = "17:00"
# days = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"]

# [[probes]]                                        # once for each probe; docs/probes.md
# name = "waist"
# place = "between slat and blanket at the waist"
# kind = "serial"                                   # serial, modbus, mqtt, http, replay or model
# port = "/dev/ttyUSB0"
# column = 2                                        # of the figure in each line
# unit = "degC"                                     # degC, degF, or mV of type K

# [woods."pond walnut"]                             # a wood of your own
# source = "measured in this shop, three boards"
# like = "black walnut"
# gravity_12 = 0.58
"""
