"""Find out what a controller speaks. In: a dialect that is near, a shop. Out: programs, a card, a profile.

Promise: the spindle is never started, no relay is switched, nothing goes up or down, and no move is longer
than the shop's travel allows even where inches are taken for millimetres. Each program tries one trait.
"""

from stockwright.trying.answers import profile_of
from stockwright.trying.making import Trial, trial_of
from stockwright.trying.room import Room, room_of

__all__ = ["Room", "Trial", "profile_of", "room_of", "trial_of"]
