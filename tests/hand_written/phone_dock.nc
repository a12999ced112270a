(phone dock, zero in the middle and on the spoilboard, board 20 thick)
G21 G90 G17
G0 Z35
T1 M6
M3 S16000
G4 P3
G0 X-35 Y0
G0 Z21
G1 Z20 F400
G1 X35 Z17 F1200
G1 X-35 Z14
G1 X35 Z11
G1 X-35
G0 Z35
M5
M30
