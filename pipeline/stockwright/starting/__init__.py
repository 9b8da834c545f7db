"""Documents begun by answering questions.

In: answers, one on each line. Out: a commented document that can be read, in a file that did not exist
before. Promise: the same answers give the same bytes; what makes a machine safe is never guessed: it is left
open or asked for.
"""
