"""The code words of mistakes in documents, with a paragraph for each.

In: nothing. Out: `CODES`. A code never changes its meaning and is not used again once it is retired; a test
asks for a document that triggers each of them.
"""

from __future__ import annotations

__all__ = ["CODES"]

CODES: dict[str, str] = {
    "alias": (
        "An anchor (`&`), an alias (`*`) or a merge (`<<`) stands in a document. A document refers to "
        "no other part of itself, so that it stays as large as it looks. Write the value out; text that "
        "begins with one of these signs goes in quotes."
    ),
    "ambiguous-word": (
        "A word such as `no`, `on` or `null` stands where text is meant. YAML readers disagree on these "
        "words. Put it in quotes if the word itself is meant."
    ),
    "bad-expression": (
        "Text beginning with `=` is no sum, or comes to something that is no length. A sum has lengths, "
        "numbers, the recipe's inputs, `+ - * /`, brackets, `min(...)`, `max(...)`, `abs(...)`, "
        "`round(x, step)` and `if(a < b, x, y)`; it "
        "has at most 200 characters and 64 parts, nested at most 12 deep."
    ),
    "bad-key": "A table or a list stands where a key is expected. Keys are plain words.",
    "binary": (
        "A file is no text in UTF-8: it holds zero bytes, control characters, or bytes of another "
        "encoding. Save it as UTF-8, or see whether it is the right file."
    ),
    "circle": (
        "Things hang on each other in a circle, so that none of them can come first: defaults of a recipe's "
        "inputs, or recipes that extend each other. Break it at one place."
    ),
    "contradiction": (
        "Two options exclude each other, or two readings of a board cannot both be right; the place of the "
        "other one stands in the message. Keep the one that is meant, or read both again."
    ),
    "csv": (
        "A table of measured points is not as expected: the first line says `x,y,bottom,top`, or `x,y,z` in "
        "a log of one face's touches; each further line has as many numbers with a decimal point, and the "
        "top lies above the bottom. A log alone is no board: a board's document names it."
    ),
    "division-by-zero": "A sum divides by something that comes to zero with the job's values.",
    "duplicate-key": "A key stands twice in one table, and only one of the two could count. Keep one.",
    "empty": "A file has nothing in it, or nothing but comments.",
    "missing-file": (
        "A file that was named does not exist, or cannot be read. Paths in a document start at its folder."
    ),
    "missing-key": "A key that a table needs is not there.",
    "not-a-file": "A folder, or something else that is no file, was named where a document is expected.",
    "not-yaml": (
        "The text is not YAML: a colon, a quote or a bracket is missing, the indentation does not fit, "
        "or a second document begins. The place is where the reader noticed, which may be a line after "
        "the cause."
    ),
    "outlier": (
        "A touch of a probing log stands where the touches round it say that nothing stands. Touch there "
        "again; with `drop-outliers: yes` such touches are left out, and the sheet says which."
    ),
    "out-of-range": (
        "A value lies outside what its field allows, or outside the limits that the recipe gives an input."
    ),
    "outside-folder": (
        "A path in a document leads out of the document's folder. What lies elsewhere is named on the "
        "command line."
    ),
    "repeated": "Two things that must differ are the same: two tools of one number, two boards of one name.",
    "tab": "A tab stands in the indentation. YAML counts spaces only.",
    "tag": "A tag, a word beginning with `!`, stands before a value. Documents hold plain values only.",
    "too-deep": "Tables and lists are nested deeper than 50. No document needs more than a few.",
    "too-large": (
        "A document has more than 1,000,000 bytes or 100,000 keys and values, or a CSV more than "
        "20,000,000 bytes. It is not read any further."
    ),
    "unit-missing": (
        "A number has no unit where it needs one. Lengths, feeds, speeds and the like are never "
        "guessed; in a sum a plain number cannot be added to a length."
    ),
    "unknown-key": "A table has a key that means nothing there: mostly a misspelt one.",
    "unknown-name": (
        "A name is used that nothing in the recipe has: of an input, a tool role or a holding zone; or "
        "a shipped recipe's name is none."
    ),
    "unknown-unit": "A unit is not one of those that this kind of quantity may have.",
    "unknown-word": "A word is not one of those that may stand there.",
    "wrong-count": "A list has more or fewer items than another list that it belongs to.",
    "wrong-kind": (
        "The document is of another kind than is wanted here, or of a newer format than this version "
        "reads. The key `stockwright` says which, as in `recipe/1`."
    ),
    "wrong-type": (
        "Something of another sort stands where a value is expected: a list, a table, text, or nothing."
    ),
}
