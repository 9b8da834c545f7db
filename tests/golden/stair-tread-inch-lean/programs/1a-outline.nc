(Face A: outline in the air)
(program: 1a-outline)
(setup: 1)
(tool: 1 wide-facer)
(zero: z on the bed beside the board -)
(the shims stand on it - never on the)
(board - x and y at the mark on the bed)
G20
G17
G90
G94
G54
M5
(Setup 1: outline in the air - spindle)
(off)
G0 Z2.1654
G0 X-5.6536 Y1.5857
G1 X45.0164 F98.4
G1 Y11.5178
G1 X-5.6536
G1 Y1.5857
G0 X-5.5118 Y6.2992
G1 Z0.375 F19.7
(Spindle off: a 0.375 in block must)
(just slide under the cutter.)
M0
G0 Z2.1654
G0 X-6.2992 Y28.3465
M5
M2
