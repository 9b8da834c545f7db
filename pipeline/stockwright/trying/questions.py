"""What is asked of a controller, one trait at a time. In: nothing. Out: `QUESTIONS`.

Promise: every answer names the traits it sets; an answer that leaves everything as it is says so.
"""

from __future__ import annotations

from dataclasses import field
from typing import Any

from stockwright.frozen import frozen

__all__ = ["QUESTIONS", "Answer", "Question", "Try"]


@frozen
class Try:
    """One program: what it is to show, the figure it draws, and the traits it is written with."""

    letter: str
    about: str
    figure: str
    traits: dict[str, Any] = field(default_factory=dict)


@frozen
class Answer:
    """What a person may have seen, and the keys of a profile that follow from it, if any."""

    word: str
    seen: str
    sets: dict[str, Any] = field(default_factory=dict)


@frozen
class Question:
    """One trait's question."""

    name: str
    ask: str
    tries: tuple[Try, ...]
    answers: tuple[Answer, ...]


_MODES = ("G17", "G40", "G49", "G80", "G90", "G94")
_BOTH = "both drew the line"

QUESTIONS: tuple[Question, ...] = (
    Question(
        "units-word",
        "Which word for the units is understood? The line is {size} long.",
        (
            Try("a", "G21 for mm, G20 for inches", "line", {"mm_word": "G21", "inch_word": "G20"}),
            Try("b", "G71 for mm, G70 for inches", "line", {"mm_word": "G71", "inch_word": "G70"}),
        ),
        (
            Answer("first", "only a drew a line of that length", {"mm-word": "G21", "inch-word": "G20"}),
            Answer("second", "only b drew a line of that length", {"mm-word": "G71", "inch-word": "G70"}),
            Answer("both", "both drew a line of that length", {"mm-word": "G21", "inch-word": "G20"}),
            Answer("other-length", "a line was 25 times too long or too short: STOP, set the units by hand"),
        ),
    ),
    Question(
        "decimal-point",
        "Must a whole number have a point? The line is {size} long.",
        (
            Try("a", "with a point", "line", {"point_always": True}),
            Try("b", "without", "whole-line", {"point_always": False}),
        ),
        (
            Answer("both", "both lines were as long", {"point-always": "yes"}),
            Answer("first", "b drew no line, or one too short to see", {"point-always": "yes"}),
            Answer("second", "a was refused, b was not", {"point-always": "no"}),
        ),
    ),
    Question(
        "spaces",
        "Do words need spaces between them?",
        (Try("a", "with spaces", "line", {"spaced": True}), Try("b", "without", "line", {"spaced": False})),
        (
            Answer("both", _BOTH, {"spaced": "yes"}),
            Answer("first", "only a did", {"spaced": "yes"}),
            Answer("second", "only b did", {"spaced": "no"}),
        ),
    ),
    Question(
        "code-digits",
        "One digit or two: G1 or G01?",
        (Try("a", "G1", "line", {"code_digits": 1}), Try("b", "G01", "line", {"code_digits": 2})),
        (
            Answer("both", _BOTH, {"code-digits": 1}),
            Answer("first", "only a did", {"code-digits": 1}),
            Answer("second", "only b did", {"code-digits": 2}),
        ),
    ),
    Question(
        "comments",
        "May text for people stand in ( )?",
        (
            Try("a", "with a comment", "line", {"comments": "parentheses"}),
            Try("b", "without", "line", {"comments": "none"}),
        ),
        (
            Answer("both", _BOTH, {"comments": "parentheses"}),
            Answer("second", "only b did", {"comments": "none"}),
        ),
    ),
    Question(
        "line-length",
        "How long may a line be? Longer and longer comments stand between short moves: count the moves.",
        (Try("a", "comments of 60, 80, 128 and 250 characters", "stairs", {"comments": "parentheses"}),),
        (
            Answer("4-moves", "four moves", {"line-length": 250, "comment-length": 70}),
            Answer("3-moves", "three moves", {"line-length": 128, "comment-length": 70}),
            Answer("2-moves", "two moves", {"line-length": 80, "comment-length": 70}),
            Answer("1-move", "one move, or none", {"line-length": 60, "comment-length": 40}),
        ),
    ),
    Question(
        "motion-words",
        "Must each line have its motion word? A square is drawn.",
        (Try("a", "the word only where it changes", "square", {"modal_motion": True}),),
        (
            Answer("square", "the whole square", {"modal-motion": "yes"}),
            Answer("other", "anything else", {"modal-motion": "no"}),
        ),
    ),
    Question(
        "axes",
        "Must each line name all axes? A square is drawn beside the start.",
        (Try("a", "only the axes that move", "square", {"modal_axes": True, "modal_motion": False}),),
        (
            Answer("square", "the whole square", {"modal-axes": "yes"}),
            Answer("other", "anything else", {"modal-axes": "no"}),
        ),
    ),
    Question(
        "feeds",
        "Must each line name its feed? A square is drawn.",
        (Try("a", "the feed only where it changes", "square", {"modal_feed": True, "modal_axes": False}),),
        (
            Answer("square", "the whole square", {"modal-feed": "yes"}),
            Answer("other", "anything else", {"modal-feed": "no"}),
        ),
    ),
    Question(
        "arcs",
        "How are arcs told? A circle, {double} across, is drawn in the air in four quarters.",
        (
            Try("a", "by the centre, I and J from the start", "circle", {"arcs": "centre"}),
            Try("b", "by the radius, R", "circle", {"arcs": "radius"}),
        ),
        (
            Answer("both", "both circles were round and of that size", {"arcs": "centre"}),
            Answer("first", "only a was", {"arcs": "centre"}),
            Answer("second", "only b was", {"arcs": "radius"}),
            Answer("neither", "neither was, or another circle was drawn", {"arcs": "none"}),
        ),
    ),
    Question(
        "dwell",
        "How is a wait told? Between two moves it stands still; count the seconds.",
        (
            Try("a", "G4 P3: three seconds by P", "wait", {"dwell_unit": "seconds", "dwell_letter": "P"}),
            Try("b", "G4 X3: three seconds by X", "wait", {"dwell_unit": "seconds", "dwell_letter": "X"}),
        ),
        (
            Answer("first", "a stood for three seconds", {"dwell-unit": "seconds", "dwell-letter": "P"}),
            Answer("second", "b stood for three seconds", {"dwell-unit": "seconds", "dwell-letter": "X"}),
            Answer("first-at-once", "a went on at once", {"dwell-unit": "milliseconds", "dwell-letter": "P"}),
            Answer("neither", "anything else", {"dwell-unit": "none", "spin-up": "0 s"}),
        ),
    ),
    Question(
        "line-numbers",
        "Are line numbers needed?",
        (
            Try("a", "without", "line", {"line_number_step": 0}),
            Try("b", "N10, N20 ...", "line", {"line_number_step": 10}),
        ),
        (
            Answer("both", _BOTH, {"line-number-step": 0}),
            Answer("first", "only a did", {"line-number-step": 0}),
            Answer("second", "only b did", {"line-number-step": 10}),
        ),
    ),
    Question(
        "long-line-numbers",
        "May a line number have five digits? Three squares are drawn.",
        (Try("a", "N1000 to N24000", "squares", {"line_number_step": 1000, "line_number_limit": 99999}),),
        (
            Answer("three-squares", "all three squares", {"line-number-limit": 99999}),
            Answer("other", "anything else", {"line-number-limit": 9999}),
        ),
    ),
    Question(
        "line-end",
        "How does a line end?",
        (Try("a", "LF", "line", {"line_ending": "lf"}), Try("b", "CR LF", "line", {"line_ending": "cr-lf"})),
        (
            Answer("both", _BOTH, {"line-ending": "lf"}),
            Answer("first", "only a did", {"line-ending": "lf"}),
            Answer("second", "only b did", {"line-ending": "cr-lf"}),
        ),
    ),
    Question(
        "percent",
        "Must a lone % stand first and last?",
        (Try("a", "without", "line", {"percent": False}), Try("b", "with", "line", {"percent": True})),
        (
            Answer("both", _BOTH, {"percent": "no"}),
            Answer("first", "only a did", {"percent": "no"}),
            Answer("second", "only b did", {"percent": "yes"}),
        ),
    ),
    Question(
        "end",
        "Which word ends a program? Afterwards the control says that it has ended and waits.",
        (Try("a", "M2", "line", {"end_words": ("M2",)}), Try("b", "M30", "line", {"end_words": ("M30",)})),
        (
            Answer("both", "both ended so", {"end-words": ["M2"]}),
            Answer("first", "only a did", {"end-words": ["M2"]}),
            Answer("second", "only b did", {"end-words": ["M30"]}),
        ),
    ),
    Question(
        "modes",
        "Which modes are understood?",
        (
            Try("a", "all of them", "line", {"start_words": (*_MODES[:3], "G61", *_MODES[3:])}),
            Try("b", "all but G61", "line", {"start_words": _MODES}),
            Try("c", "G17, G90 and G94", "line", {"start_words": ("G17", "G90", "G94")}),
            Try("d", "G90 alone", "line", {"start_words": ("G90",), "arcs": "none"}),
        ),
        (
            Answer("all", "all four drew the line", {"start-words": [*_MODES[:3], "G61", *_MODES[3:]]}),
            Answer("second", "a was refused, the others were not", {"start-words": [*_MODES]}),
            Answer("third", "only c and d drew it", {"start-words": ["G17", "G90", "G94"]}),
            Answer("fourth", "only d drew it", {"start-words": ["G90"], "arcs": "none"}),
        ),
    ),
    Question(
        "work-zero",
        "Is the zero that you set the one of G54?",
        (
            Try("a", "G54", "line", {"work_frame": "G54"}),
            Try("b", "no word for it", "line", {"work_frame": None}),
        ),
        (
            Answer("both", _BOTH, {"work-frame": "G54"}),
            Answer("first", "only a did", {"work-frame": "G54"}),
            Answer("second", "only b did", {"work-frame": "none"}),
        ),
    ),
    Question(
        "pause",
        "Does M0 wait for you between two moves, until you let it go on?",
        (Try("a", "M0", "pause", {"pause_word": "M0", "stops_trusted": True}),),
        (
            Answer("waited", "it waited", {"pause-word": "M0", "stops-trusted": "yes"}),
            Answer("went-on", "it went on by itself, or a switch makes it", {"stops-trusted": "no"}),
            Answer("refused", "it was refused", {"pause-word": "none"}),
        ),
    ),
)
