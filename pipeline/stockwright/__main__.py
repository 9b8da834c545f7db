"""`python -m stockwright` runs the command. In: the call. Out: the exit code."""

from stockwright.entry import main

main()
