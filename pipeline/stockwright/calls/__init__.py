"""What the user calls, and is told. In: arguments, answers typed. Out: text or one JSON document.

`answering.py` is round every call: exit codes, JSON, mistakes. `terminal.py` and `told_job.py` are the words;
`asking.py` the questions; the other files are what one call does, where that is more than a line of `cli.py`.
"""
