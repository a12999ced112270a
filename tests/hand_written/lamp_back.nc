(lamp foot, back, on its pins: cable hole from below, and a channel out to the edge)
G21 G90 G17
G0 Z20
T2 M6 (drill 10)
M3 S6000
G4 P3
G98 G83 X60 Y60 Z-12 R2 Q4 F350
G80
T3 M6 (flat 8)
M3 S15000
G4 P3
G0 Z20
G0 X60 Y60
G0 Z1
G1 Z-3 F400
G1 Y125 F1200
G1 Z-6 F400
G1 Y60 F1200
G0 Z20
M5
M30
