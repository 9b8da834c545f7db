(Edge-1 - with face B up: outline in)
(the air)
(program: 3a-outline)
(setup: 3)
(tool: 2 long-end-mill)
(zero: z on the bed beside the board -)
(face A rests on it - never on the)
(board - x and y at the mark on the bed)
G20
G17
G90
G94
G54
M5
(Setup 3: outline in the air - spindle)
(off)
G0 Z2.2835
G0 X-4.1376 Y10.6299
G1 X43.5003 F98.4
G1 Y11.5556
G1 X-4.1376
G1 Y10.6299
G0 X-4.7244 Y12.5984
G1 Z0.375 F15.7
(Spindle off: a 0.375 in block must)
(just slide under the cutter.)
M0
G0 Z2.2835
G0 X-6.2992 Y28.3465
M5
M2
