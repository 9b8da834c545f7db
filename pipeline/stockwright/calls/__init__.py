"""What each command does, and what it reports. In: arguments, typed answers. Out: text or one JSON document.

`answering.py` wraps every command: exit codes, JSON, mistakes. `terminal.py` and `told_job.py` hold the
words, `asking.py` the questions; each of the other files is one command, where that is more than a line of
`cli.py`.
"""
