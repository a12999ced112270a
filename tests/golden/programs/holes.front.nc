(Holes: front)
(Set 95d6c458b612, 1 of 2: front; the other is back)
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
(Front up)
(X0 Y0 is the lower left corner of the board as it lies)
(Z0 is the top of the board)
(X0 Y0 must stay as set until the back is done.)
(Dowel of 6 at X8 Y70: no hole made here)
(Dowel of 6 at X192 Y70: no hole made here)
(These pins fit both ways round: mark the lower left corner.)
(Zero in G54. No length offset, G49: touch off each cutter.)
(Safe height 8 mm above the board)
(Crossings at 2 mm or more above the board)
(Spoilboard cut 0.5 mm deep)
(Cutter's axis over X6.5 to 193.5, Y30 to 90)
(About 2 min, without changes and stops)
(Screws 8 wide, 3 high: X8 Y8, X192 Y8, X8 Y132, X192 Y132)
(T2: flat 3, 2 flutes, 18000 rpm)
(T4: drill 4 118 deg, 2 flutes, 8000 rpm)
(T6: V 12 82 deg, 2 flutes, 16000 rpm)
(Order of work, mm below the face before any work:)
(1. dowel holes, T2: 0 to 18.7 deep, F900)
(2. drill, T4: 0 to 13.202 deep, F600)
(3. drill, T4: 0 to 9 deep, F600)
(4. countersink 8.4328, T6: 0 to 4.85 deep, F400)
G17 G21 G40 G49 G54 G80 G90 G94
G0 Z25
X0 Y0
T2 M6 (flat 3)
G0 Z25
M3 S18000
G4 P3
(dowel holes)
G0 X193.5 Y70
Z8
Z2
G1 Z0 F300
G2 X190.5 Z-0.4939 I-1.5 F900
X193.5 Z-0.9879 I1.5
X190.5 Z-1.4818 I-1.5
X193.5 Z-1.9757 I1.5
X190.5 Z-2.4697 I-1.5
X193.5 Z-2.9636 I1.5
X190.5 Z-3.4575 I-1.5
X193.5 Z-3.9515 I1.5
X190.5 Z-4.4454 I-1.5
X193.5 Z-4.9393 I1.5
X190.5 Z-5.4332 I-1.5
X193.5 Z-5.9272 I1.5
X190.5 Z-6.4211 I-1.5
X193.5 Z-6.915 I1.5
X190.5 Z-7.409 I-1.5
X193.5 Z-7.9029 I1.5
X190.5 Z-8.3968 I-1.5
X193.5 Z-8.8908 I1.5
X190.5 Z-9.3847 I-1.5
X193.5 Z-9.8786 I1.5
X190.5 Z-10.3726 I-1.5
X193.5 Z-10.8665 I1.5
X190.5 Z-11.3604 I-1.5
X193.5 Z-11.8544 I1.5
X190.5 Z-12.3483 I-1.5
X193.5 Z-12.8422 I1.5
X190.5 Z-13.3362 I-1.5
X193.5 Z-13.8301 I1.5
X190.5 Z-14.324 I-1.5
X193.5 Z-14.818 I1.5
X190.5 Z-15.3119 I-1.5
X193.5 Z-15.8058 I1.5
X190.5 Z-16.2997 I-1.5
X193.5 Z-16.7937 I1.5
X190.5 Z-17.2876 I-1.5
X193.5 Z-17.7815 I1.5
X190.5 Z-18.2755 I-1.5
X193.3562 Y70.6409 Z-18.7 I1.5
X193.5 Y70 I-1.3562 J-0.6409
X190.5 I-1.5
X193.3562 Y70.6409 I1.5
X192 Y70 I-0.6781 J-0.3205
G0 Z2
X9.5
G1 Z0 F300
G2 X6.5 Z-0.4939 I-1.5 F900
X9.5 Z-0.9879 I1.5
X6.5 Z-1.4818 I-1.5
X9.5 Z-1.9757 I1.5
X6.5 Z-2.4697 I-1.5
X9.5 Z-2.9636 I1.5
X6.5 Z-3.4575 I-1.5
X9.5 Z-3.9515 I1.5
X6.5 Z-4.4454 I-1.5
X9.5 Z-4.9393 I1.5
X6.5 Z-5.4332 I-1.5
X9.5 Z-5.9272 I1.5
X6.5 Z-6.4211 I-1.5
X9.5 Z-6.915 I1.5
X6.5 Z-7.409 I-1.5
X9.5 Z-7.9029 I1.5
X6.5 Z-8.3968 I-1.5
X9.5 Z-8.8908 I1.5
X6.5 Z-9.3847 I-1.5
X9.5 Z-9.8786 I1.5
X6.5 Z-10.3726 I-1.5
X9.5 Z-10.8665 I1.5
X6.5 Z-11.3604 I-1.5
X9.5 Z-11.8544 I1.5
X6.5 Z-12.3483 I-1.5
X9.5 Z-12.8422 I1.5
X6.5 Z-13.3362 I-1.5
X9.5 Z-13.8301 I1.5
X6.5 Z-14.324 I-1.5
X9.5 Z-14.818 I1.5
X6.5 Z-15.3119 I-1.5
X9.5 Z-15.8058 I1.5
X6.5 Z-16.2997 I-1.5
X9.5 Z-16.7937 I1.5
X6.5 Z-17.2876 I-1.5
X9.5 Z-17.7815 I1.5
X6.5 Z-18.2755 I-1.5
X9.3562 Y70.6409 Z-18.7 I1.5
X9.5 Y70 I-1.3562 J-0.6409
X6.5 I-1.5
X9.3562 Y70.6409 I1.5
X8 Y70 I-0.6781 J-0.3205
G0 Z8
Z25
X0 Y0
M5
T4 M6 (drill 4 118 deg)
G0 Z25
M3 S8000
G4 P3
(drill)
G0 X40 Y65
Z2
G1 Z-13.2017 F600
G0 Z2
X62
G1 Z-13.2017
G0 Z2
X40 Y90
G1 Z-13.2017
G0 Z2
X62
G1 Z-13.2017
G0 Z2
X84
G1 Z-13.2017
G0 Z2
X106
G1 Z-13.2017
G0 Z2
X84 Y65
G1 Z-13.2017
G0 Z2
X106
G1 Z-13.2017
G0 Z2
Y40
G1 Z-13.2017
G0 Z2
X84
G1 Z-13.2017
G0 Z2
X62
G1 Z-13.2017
G0 Z2
X40
G1 Z-13.2017
G0 Z8
(drill)
G0 X150 Y87.5
Z2
G1 Z-9
G4 P0.5
G0 Z2
Y76
G1 Z-9
G4 P0.5
G0 Z2
Y64.5
G1 Z-9
G4 P0.5
G0 Z2
Y53
G1 Z-9
G4 P0.5
G0 Z2
Y41.5
G1 Z-9
G4 P0.5
G0 Z2
Y30
G1 Z-9
G4 P0.5
G0 Z8
Z25
X0 Y0
M5
T6 M6 (V 12 82 deg)
G0 Z25
M3 S16000
G4 P3
(countersink 8.4328)
G0 X78.2443 Y53.8197
Z2
G1 Z-4.8504 F400
G0 Z2
X101.7557
G1 Z-4.8504
G0 Z2
X109.0211 Y76.1803
G1 Z-4.8504
G0 Z2
X90 Y90
G1 Z-4.8504
G0 Z2
X70.9789 Y76.1803
G1 Z-4.8504
G0 Z8
Z25
X0 Y0
M5
M30
