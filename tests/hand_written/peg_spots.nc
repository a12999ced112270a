(pegs by G82, a breath at the bottom; every second one over the clamp height)
G21 G90 G17 G80
G0 Z20
T2 M6
M3 S8000
G4 P3
G0 X20 Y20
G99 G82 X20 Y20 Z-4 R1.5 P.3 F400
X40
X60
X80
X100
G98 Y60
X80
X60
X40
X20
G80
G0 Z20
M5
M30
