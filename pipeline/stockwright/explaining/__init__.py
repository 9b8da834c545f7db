"""What a name means: a rule, a finding, a reason of the proof, a mistake's code, a trait, a word.

In: a name as it stands in a message. Out: its pages, or a mistake where there is no such name. Promise: every
name that a message can carry has a page; where a name means two things, both are explained.
"""

from stockwright.explaining.pages import KINDS, Page, explained, names_lines, page_lines, pages

__all__ = ["KINDS", "Page", "explained", "names_lines", "page_lines", "pages"]
