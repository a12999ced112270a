(Hangers: front)
(Set 003095df856a, 1 of 1: front)
(The machine's manual and local codes come first.)
(Eyes, ears and dust protected. Extinguisher at hand.)
(Never leave it unattended.)
(Check hold-down, zero and cutter.)
(First run in the air with a hand on the stop.)
(At M6 the control must halt, spindle off, or change the)
(  cutter itself.)
(Try that in the air. If it does neither, do not run this.)
(T8: its head is under the wood in its slots. After a halt)
(  never lift it there: back along the slot, spindle on, and)
(  up at its entry hole.)
(Board 200 x 140 x 18.2 mm, thickness as measured)
(Board: board)
(Front up)
(X0 Y0 is the lower left corner of the board as it lies)
(Z0 is the top of the board)
(Zero in G54. No length offset, G49: touch off each cutter.)
(Safe height 5 mm above the board)
(Crossings at 2 mm or more above the board)
(Spoilboard not cut)
(Cutter's axis over X60 to 140, Y50 to 65)
(About 1 min, without changes and stops)
(Held by double-sided tape: X0 to 200, Y0 to 140)
(T8: undercut 9.5 head 3.2 neck 4.8, 2 flutes, 16000 rpm)
(Order of work, mm below the face before any work:)
(1. keyhole slot, T8: 0 to 9 deep, F800)
G17 G21 G40 G49 G54 G80 G90 G94
G0 Z25
X0 Y0
T8 M6 (undercut 9.5 head 3.2 neck 4.8)
G0 Z25
M3 S16000
G4 P3
(keyhole slot)
G0 X140 Y50
Z5
Z2
G1 Z-9 F267
Y65 F800
Y50
Z2
G0 X60
G1 Z-9 F267
Y65 F800
Y50
Z2
G0 Z5
Z25
X0 Y0
M5
M30
