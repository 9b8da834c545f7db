(Face B: outline in the air)
(program: 2a-outline)
(setup: 2)
(tool: 1 wide-facer)
(zero: z on the bed beside the board -)
(face A rests on it - never on the)
(board - x and y at the mark on the bed)
G20
G17
G90
G94
G54
M5
(Setup 2: outline in the air - spindle)
(off)
G0 Z1.8898
G0 X-5.6536 Y1.6122
G1 X45.0164 F98.4
G1 Y11.5443
G1 X-5.6536
G1 Y1.6122
G0 X-5.5118 Y6.2992
G1 Z0.375 F19.7
(Spindle off: a 0.375 in block must)
(just slide under the cutter.)
M0
G0 Z1.8898
G0 X-6.2992 Y28.3465
M5
M2
