"""An invented retrofit's profile, as a shop writes it. In: nothing. Out: the text of a `post/1` document.

Comma-free, four-digit line numbers, inches with four decimals, no arcs, machine-frame retract, dust words.
"""

__all__ = ["PROFILE"]

PROFILE = """\
stockwright: post/1
name: barn-retrofit
extends: spelled-out
units: inch
line-number-step: 10
line-number-limit: 9999
comments: none
retract: machine
retract-z: -5 mm
machine-zero: {x: 0 mm, y: 0 mm, z: 160 mm}
dust-on: M8
dust-off: M9
"""
