(bookend: stopped slot for the shelf pin, 8 wide 60 long, by a 6 mm cutter round and round)
(pine 160 x 120 x 19, zero lower left)
G21 G90 G17 G94
G0 Z20
T1 M6
M3 S16000
G4 P3
G0 X51 Y59
G0 Z1
G1 Z0 F500
(down along one side, back along the other)
G1 X109 Z-3 F1000
G1 Y61
G1 X51
G1 Y59
G1 X109 Z-6
G1 Y61
G1 X51
G1 Y59
G1 X109 F1400
G0 Z20
M5
M30
