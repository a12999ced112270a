(box lid: rebate 6 wide 4 deep all round, run past the edges; tape under it, overhang allowed)
G21 G90 G17 G94
G0 Z10
T2 M6
M3 S15000
G4 P3
G0 X-6 Y2
G0 Z1
G1 Z-4 F500
G1 X118 F1300 (front)
G1 Y78 (right)
G1 X2 (rear)
G1 Y-6 (left)
G0 Z10
M5
M30
