"""Design files for tests: our own invention."""

FULL = '''\
# kept: a file with every key
format = 1
units  = "mm"
name   = "Reed warbler"   # kept
notes  = """
first one
from this cane"""

[instrument]
mouth    = "notch"
system   = "six-hole pentatonic"
pad      = 0.25
material = "cane"

[tube]
length  = "355.4 mm"
bore    = [[0, 16.1], [200, 15.8, "1.6 cm"], [200, 15.5]]   # two taper, one steps
wall    = 3.8
foot    = 9           # a node with a hole
locked  = true
blank   = 520
avoid   = [[171, 177]]
chamber = { length = 150, wall = 5 }

[voicing]
added_length = 31.0
cavity       = 2
drift        = -0.1
uncertainty  = 3.0
calibrated   = true
window       = { length = 5, width = 9, wall = 2, flue_length = 12, flue_height = 1.0 }
embouchure   = { length = 12, width = 10, wall = 3.8, covered = 0.33 }

[learned]
bore   = -0.05
wall   = 0.1
warmth = 0.4
stated_length = 28
stated_uncertainty = 4
stated_drift = 0.2
left_out = "row 1 (A4 +60)"

[air]
temperature = "65.3 °F"
humidity    = 40
altitude    = "250 m"
pressure    = "984 hPa"
breath      = 0.5

[tuning]
reference = 442
tonic     = "Bb4"
scale     = "own"
degrees   = ["1", "6/5", "498 c"]
tolerance = 7.5

[shop]
bits     = [5, 5.5, "1/4 in"]
smallest = 4.5
largest  = 11
share_of_bore = 0.7
wood     = 6
hand     = { spread = [30, 28, 30], gap = 60, pad = 15 }

[uncertainty]
bore        = 0.1
wall        = 0.2
at          = 0.3
diameter    = 0.1
length      = 0.5
temperature = "1.5 K"
tuner       = 2
model       = 6

# ---- holes ----

[[holes]]
at       = 150.3
diameter = 7.9
side     = "front"
finger   = "L1"
wall     = 3.0
slant    = 5
undercut = 0.5
drilled  = true
locked   = true

# the thumb
[[holes]]
at       = 180
diameter = [6, 7]
side     = "back"
finger   = "LT"
locked   = ["at"]

[[holes]]
at       = 300
diameter = 4
side     = 37.5

# ---- rows ----

[[rows]]
note     = "A4"
cents    = -2
holes    = "X X"
register = 2
weight   = 0.5
role     = "chromatic"
open_share = 0.4
measured = "A4 -4"

[[rows]]
note  = "3/2"
holes = "OH"

[[log]]
when = 2026-01-05T10:20:00
event = "measured"
holes = "XX"
measured = "A4 -4"
temperature = "20 °C"
length = 360
register = 2
drilled = "OX"
hole = 2
at = 180.5
diameter = 5.5
undercut = 0.25
was = 5
note = "bare"

[[log]]
when = 2026-01-06T08:00:00Z
event = "cut"
'''

SMALLEST = """\
[instrument]
[tube]
length = 300
bore = 16
wall = 3
"""

INCHES = """\
format = 1   # kept
units = "in"

[instrument]
mouth = "duct"

[tube]
length = 12
bore = "5/8"
wall = '1/8"'

[voicing]
drift = "1/64"

[[holes]]
at = 4
diameter = "1/4"
finger = "L1"

[[holes]]
at = "5 3/16"
diameter = 0.25
finger = "L2"

[[rows]]
note = "A4"
holes = "X X"
[[rows]]
note = "C5"
holes = "X O"
"""

ODD = """\
\t# kept: legal, if oddly laid out
instrument = { mouth = 'duct' , "pad" = 0.5 }
tube.length = 300    # dotted keys
tube . "bore"=[ # one
  [0,16],           # a comment inside
  [ 100 , 15.5 ],
]
tube.wall = 3
rows = [ { note = "A4", holes = "X" }, { note = "C5", holes = "O" } ]


   [ voicing . window ]  # a table of its own
   length = 5
      width = 9
# about the hole
[[ holes ]]

at=150


diameter    =    8
finger = "R1" #none

[tuning]
tonic = "a4"
"""
