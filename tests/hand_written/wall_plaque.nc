(wall plaque, back up: two hanger slots, 5 in apart)
(keyhole cutter 3/8 head, 3/16 neck, plunging type)
G20 G17 G40 G49 G80 G90 G94
G0 Z0.8
T3 M6
M3 S15000
G4 P4
G0 X2 Y3
G0 Z0.1
(in at the hole)
G1 Z-0.3125 F10
(along and back the same way)
G1 Y3.6 F25
G1 Y3
(out at the hole, at feed)
G1 Z0.1
G0 X7 Y3
G1 Z-0.3125 F10
G1 Y3.6 F25
G1 Y3
G1 Z0.1
G0 Z0.8
G0 X0 Y0
M5
M30
