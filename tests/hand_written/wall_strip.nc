(wall strip: pilots 3 mm, heads 8 wide sunk with the V 90; the V is put in by hand at the stop)
(T2 drill 3 is in)
G21 G90 G17
G0 Z25
M3 S8000
G4 P3
G99 G83 X30 Y25 Z-15 R2 Q5 F400
X100
X170
G80
G0 Z25
M5
G0 X0 Y0
(MSG, take out the drill, put in T3, set Z)
M0
M3 S12000
G4 P3
G0 Z25
G0 X30 Y25
G0 Z2
G1 Z-4 F250
G0 Z2
G0 X100
G1 Z-4
G0 Z2
G0 X170
G1 Z-4
G0 Z25
M5
G0 X0 Y0
M30
