(Tray: front)
(Set 5c273e6ad478, 1 of 1: front)
(The machine's manual and local codes come first.)
(Eyes, ears and dust protected. Extinguisher at hand.)
(Never leave it unattended.)
(Check hold-down, zero and cutter.)
(First run in the air with a hand on the stop.)
(Board 120 x 80 x 18 mm, thickness as measured)
(Board: board)
(Front up)
(X0 Y0 is the lower left corner of the board as it lies)
(Z0 is the top of the board)
(X0 Y0 must stay as set until the back is done.)
(Dowel of 6 at X6 Y40: no hole made here)
(Dowel of 6 at X114 Y40: no hole made here)
(Safe height 8 mm above the board)
(Crossings at 2 mm or more above the board)
(Spoilboard not cut)
(Screws 8 wide, 3 high: X6 Y6, X114 Y6)
(T1: flat 6, 2 flutes, 18000 rpm)
(Order of work, mm below the face before any work:)
(1. tray, T1: 0 to 4 deep)
G17 G21 G40 G49 G54 G80 G90 G94
G0 Z25
X0 Y0
T1 M6 (flat 6)
G0 Z25
M3 S18000
G4 P3
(tray)
G0 X62.7 Y40.8919
Z8
Z2
G1 Z0 F500
G2 X60 Y38.2 Z-0.2218 I-2.7 J0.0081 F1500
Y43.6 Z-0.6664 J2.7
X62.7 Y40.8919 Z-0.8891 J-2.7
X60 Y38.2 Z-1.1109 I-2.7 J0.0081
Y43.6 Z-1.5555 J2.7
X62.7 Y40.8919 Z-1.7782 J-2.7
X60 Y38.2 Z-2 I-2.7 J0.0081
Y43.6 J2.7
X62.7 Y40.8919 J-2.7
X60 Y38.2 I-2.7 J0.0081
G1 X51.7
G2 X50.2 Y39.7 J1.5
G1 Y40.3
G2 X51.7 Y41.8 I1.5
G1 X68.3
G2 X69.8 Y40.3 J-1.5
G1 Y39.7
G2 X68.3 Y38.2 I-1.5
G1 X60
G3 X57.6 Y37 J-3
G2 X55.2 Y35.8 I-2.4 J1.8
G1 X50.8
G2 X47.8 Y38.8 J3
G1 Y41.2
G2 X50.8 Y44.2 I3
G1 X69.2
G2 X72.2 Y41.2 J-3
G1 Y38.8
G2 X69.2 Y35.8 I-3
G1 X55.2
G3 X52.8 Y34.6 J-3
G2 X50.4 Y33.4 I-2.4 J1.8
G1 X48.4
G2 X45.4 Y36.4 J3
G1 Y43.6
G2 X48.4 Y46.6 I3
G1 X71.6
G2 X74.6 Y43.6 J-3
G1 Y36.4
G2 X71.6 Y33.4 I-3
G1 X50.4
G3 X48 Y32.2 J-3
G2 X45.6 Y31 I-2.4 J1.8
G1 X43
Y49
X77
Y31
X45.6
G2 X44.1 Y32.5 Z-1.8 J1.5
G1 X60.4311 Y43.5653
G2 X60 Y38.2 Z-2.2218 I-0.4311 J-2.6653
Y43.6 Z-2.6664 J2.7
X60.4311 Y43.5653 Z-2.6891 J-2.7
X60 Y38.2 Z-3.1109 I-0.4311 J-2.6653
Y43.6 Z-3.5555 J2.7
X60.4311 Y43.5653 Z-3.5782 J-2.7
X60 Y38.2 Z-4 I-0.4311 J-2.6653
Y43.6 J2.7
X60.4311 Y43.5653 J-2.7
X60 Y38.2 I-0.4311 J-2.6653
G1 X51.7
G2 X50.2 Y39.7 J1.5
G1 Y40.3
G2 X51.7 Y41.8 I1.5
G1 X68.3
G2 X69.8 Y40.3 J-1.5
G1 Y39.7
G2 X68.3 Y38.2 I-1.5
G1 X60
G3 X57.6 Y37 J-3
G2 X55.2 Y35.8 I-2.4 J1.8
G1 X50.8
G2 X47.8 Y38.8 J3
G1 Y41.2
G2 X50.8 Y44.2 I3
G1 X69.2
G2 X72.2 Y41.2 J-3
G1 Y38.8
G2 X69.2 Y35.8 I-3
G1 X55.2
G3 X52.8 Y34.6 J-3
G2 X50.4 Y33.4 I-2.4 J1.8
G1 X48.4
G2 X45.4 Y36.4 J3
G1 Y43.6
G2 X48.4 Y46.6 I3
G1 X71.6
G2 X74.6 Y43.6 J-3
G1 Y36.4
G2 X71.6 Y33.4 I-3
G1 X50.4
G3 X48 Y32.2 J-3
G2 X45.6 Y31 I-2.4 J1.8
G1 X43
Y49
X77
Y31
X45.6
G2 X44.1 Y32.5 Z-3.8 J1.5
G0 Z8
Z25
X0 Y0
M5
M30
