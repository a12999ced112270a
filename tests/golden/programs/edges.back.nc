(Edges: back)
(Set 86cc2be0e3ff, 2 of 2: back; the other is front)
(The machine's manual and local codes come first.)
(Eyes, ears and dust protected. Extinguisher at hand.)
(Never leave it unattended.)
(Check hold-down, zero and cutter.)
(First run in the air with a hand on the stop.)
(At M6 the control must halt, spindle off, or change the)
(  cutter itself.)
(Try that in the air. If it does neither, do not run this.)
(Board 200 x 140 x 18.2 mm, thickness as measured)
(Board: board)
(Back up, turned over left to right)
(X0 Y0 is the lower left corner of the board as entered)
(Z0 is the top of the board)
(The pins hold the board: never find X0 Y0 at an edge.)
(X0 Y0 stays as set for the front.)
(Only Z0 is set anew.)
(Dowel of 6 at X192 Y70: pin in place)
(Dowel of 6 at X8 Y70: pin in place)
(Check X0 Y0 over a pin.)
(These pins fit both ways round: the corner marked lower left)
(  on the front is lower right now.)
(Zero in G54. No length offset, G49: touch off each cutter.)
(Safe height 8 mm above the board)
(Crossings at 2 mm or more above the board)
(Spoilboard not cut)
(Cutter's axis over X44 to 156, Y34 to 106)
(About 1 min, without changes and stops)
(Screws 8 wide, 3 high: X192 Y8, X8 Y8, X192 Y132, X8 Y132)
(T10: bull nose 8 corner 3, 2 flutes, 16000 rpm)
(Order of work, mm below the face before any work:)
(1. edge coved 3, T10: 0 to 3 deep, F1200)
G17 G21 G40 G49 G54 G80 G90 G94
G0 Z25
X0 Y0
T10 M6 (bull nose 8 corner 3)
G0 Z25
M3 S16000
G4 P3
(edge coved 3)
G0 X52 Y34
Z8
Z2
G1 Z0 F400
X109.2434 Z-3 F1200
X148
G3 X156 Y42 J8
G1 Y98
G3 X148 Y106 I-8
G1 X52
G3 X44 Y98 J-8
G1 Y42
G3 X52 Y34 I8
G1 X109.2434
X114.2434 Z2
G0 Z8
Z25
X0 Y0
M5
M30
