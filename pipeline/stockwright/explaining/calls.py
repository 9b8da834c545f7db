"""Codes of mistakes in a call rather than in a document. In: nothing. Out: `CALLS`, a paragraph for each.

Promise: every code that is not a document's stands here; a test searches the source for others.
"""

from __future__ import annotations

__all__ = ["CALLS"]

CALLS: dict[str, str] = {
    "already-run": (
        "That program, or a setup after it, has been run since, so it cannot be cut again as if nothing had "
        "followed. Name the setup that the board lies in now."
    ),
    "ambiguous-place": (
        "The place where a program stopped is on more than one of its passes. Say the line that the "
        "control shows, or the height too: `--at X,Y,Z`."
    ),
    "bad-name": "A name does not do as the name of a file, on this computer or on another. Choose another.",
    "bed-in-use": (
        "Boards of later setups stand on this bed and take their zero on it, so it cannot be skimmed deeper "
        "under them. Skim it by a job of its own."
    ),
    "broken-post": (
        "A post is installed or named, but cannot be used; the message says what is wrong with it. "
        "`stockwright posts list` names the others."
    ),
    "cannot-write": "A file or a folder cannot be written: no room, no right, or the disk is gone.",
    "changed": (
        "A file of a parcel is not what its table of contents says. Ask for it to be sent once more."
    ),
    "clamps-moved": (
        "The face was cut in parts, and the clamps that stood for one are gone. Read the face anew and make "
        "a job of it; a program that stopped is still taken up with `--stopped`."
    ),
    "cuts-nothing": (
        "That program runs with the spindle off, so there is nothing in it to take up. Run it again from its "
        "beginning."
    ),
    "exists": (
        "Something lies already where a file or a folder is to go. With `--force` an earlier packet, "
        "parcel or picture is replaced; what is anything else is never replaced."
    ),
    "missing-answer": "Nothing was answered to a question that needs an answer. Begin again, and answer it.",
    "no-face-there": "That setup cuts no face; the message names those that do.",
    "no-reader": "The packet names no reader for its programs, so they cannot be read back and taken up.",
    "no-such-board": "The packet has no board of that name; the message names those that it has.",
    "no-such-file": "The packet lists no program of that name; the message names those that it has.",
    "no-such-line": "The program has fewer lines than that. The control shows the line it was at.",
    "no-such-pass": (
        "The place or the line lies on no pass of that program, so nothing can be taken up there."
    ),
    "no-such-setup": "The packet has no setup of that number. The numbers stand on the sheet.",
    "not-a-folder": "A file lies where a folder is expected. Name another place, or take it away.",
    "not-a-packet": "The folder holds no packet: its `packet.json` is not as a packet has it.",
    "not-a-parcel": "The file is no parcel: `stockwright recipes pack` makes one.",
    "out-of-order": (
        "The steps of a recipe do not follow from each other: a face is flat before an edge stands on it, "
        "an edge before anything stands against it. Put them in that order."
    ),
    "outside-board": (
        "A place lies beside the board. Places are read from the zero of that setup, as on the sheet."
    ),
    "unknown-post": "No post of that name is installed, and no profile lies there.",
    "usage": (
        "The call is not as the command expects it: an option is missing, or there is one too many. "
        "`stockwright COMMAND --help` shows how it is called."
    ),
    "which-face": "That setup cuts more than one face, and the call does not say which: add `--board`.",
}
