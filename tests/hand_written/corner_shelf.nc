(dado 10 wide 6 deep across the board, open at both ends; zero upper right)
G21 G90 G17
G0 Z15
T4 M6
M3 S14000
G4 P3
G0 X-60 Y6
G0 Z1
G1 Z-3 F500
G1 Y-126 F1200
G0 Z2
G0 Y6
G0 Z-2.5
G1 Z-6 F500
G1 Y-126 F1200
G0 Z15
M5
M30
