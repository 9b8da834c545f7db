"""`python -m stockwright`."""

from stockwright.entry import main

main()
