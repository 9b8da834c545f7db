"""Find out what dialect a controller speaks.

In: a dialect that is near, a shop. Out: programs, a card, a profile. Promise: the spindle is never started,
no relay is switched, z never moves, and no move is longer than the shop's travel allows even if the
controller takes inches for millimetres. Each program tries one trait.
"""

from stockwright.trying.answers import profile_of
from stockwright.trying.making import Trial, trial_of
from stockwright.trying.room import Room, room_of

__all__ = ["Room", "Trial", "profile_of", "room_of", "trial_of"]
