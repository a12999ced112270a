(lamp foot, front: pin holes 6 wide through, cable hole halfway)
G21 G90 G17
G0 Z20
T1 M6 (drill 6)
M3 S6000
G4 P3
G98 G83 X10 Y60 Z-23 R2 Q5 F350
X110
G80
T2 M6 (drill 10)
M3 S6000
G4 P3
G0 Z20
G98 G83 X60 Y60 Z-10 R2 Q5 F350
G80
G0 Z20
M5
M30
