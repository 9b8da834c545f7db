"""Documents begun by answering questions.

In: answers, one a line. Out: a commented document that can be read, in a file where none stood. Promise: the
same answers give the same bytes; what makes a machine safe is never guessed, it is left open or asked for.
"""
