(Pilot holes, 3 mm drill, rows by L in steps)
(board 300 x 160 x 18, zero lower left on top)
G21 G90 G17
G0 Z25
M3 S8000
G4 P2
(first row: 9 holes, 30 apart)
G0 X0 Y20
G0 Z12
G91
G99 G81 X30 Y0 Z-14 R-10 L9 F400
G80
G90
G0 Z12
(second row, back the other way, with a short stop at the bottom)
G0 X300 Y80
G91 G98 G82 X-30 Y0 Z-14 R-10 P0.2 L9
G80 G90
(third row one by one, over the clamp at the right with G98)
G99 G81 X30 Y140 Z-12 R2
X60
X90
X120
X150
G98 X180
G80
G0 Z25
X270 Y140
G98 G83 X270 Y140 Z-12 R2 Q5
G80
G0 Z25
M5
M30
