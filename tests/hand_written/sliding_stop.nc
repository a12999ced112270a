(sliding stop: two long slots 10 wide, cutter T5 flat 10 that does not cut at its centre)
(back and forth down a slope; beech ply 260 x 100 x 12; zero upper left)
G21 G90
G0 Z15
M3 S14000
G4 P3
G0 X50 Y-35
G0 Z1
G1 Z0 F500
G1 X110 Z-2 F800
G1 X50 Z-4
G1 X110 Z-6
G1 X50
G1 X210 F1000
G1 X50 Z-9 F800
G1 X210 Z-12.2
G1 X50
G1 X210
G0 Z15
G0 X50 Y-65
G0 Z1
G1 Z0 F500
G1 X110 Z-2 F800
G1 X50 Z-4
G1 X110 Z-6
G1 X50
G1 X210 F1000
G1 X50 Z-9 F800
G1 X210 Z-12.2
G1 X50
G1 X210
G0 Z15
M5
M30
