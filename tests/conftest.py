"""What every test runs under. Cycles are looked for as seldom as in a call: a twentieth of the time."""

from __future__ import annotations

import gc

from stockwright.entry import SELDOM

gc.set_threshold(SELDOM, 20, 20)
