(End-1 - end-2 and edge-2 - with face B)
(up - against the fence: outline in the)
(air)
(program: 4a-outline)
(setup: 4)
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
(Setup 4: outline in the air - spindle)
(off)
G0 Z2.2835
G0 X-3.8537 Y-0.5513
G1 X43.308 F98.4
G1 Y8.9586
G1 X-3.8537
G1 Y-0.5513
G0 X44.0945 Y9.4488
G1 Z0.375 F15.7
(Spindle off: a 0.375 in block must)
(just slide under the cutter.)
M0
G0 Z2.2835
G0 X-6.2992 Y28.3465
M5
M2
