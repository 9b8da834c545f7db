"""What a name means: a rule, a finding, a reason of the proof, a mistake's code, a trait, a word.

In: a name as it stands in a message. Out: its pages, or the one mistake of a name that is none. Promise:
every name that a message can carry has a page; what a name means in two kinds is told for both.
"""

from stockwright.explaining.pages import KINDS, Page, explained, names_lines, page_lines, pages

__all__ = ["KINDS", "Page", "explained", "names_lines", "page_lines", "pages"]
