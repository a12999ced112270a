(Leaf: back)
(Set 7b000ff09168, 2 of 2: back; the other is front)
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
(Back up, turned over top to bottom)
(X0 Y0 is the lower left corner of the board as entered)
(Z0 is the top of the board)
(The pins hold the board: never find X0 Y0 at an edge.)
(X0 Y0 stays as set for the front.)
(Only Z0 is set anew.)
(Dowel of 6 at X8 Y70: pin in place)
(Dowel of 6 at X192 Y70: pin in place)
(Check X0 Y0 over a pin.)
(These pins fit both ways round: the corner marked lower left)
(  on the front is upper left now.)
(Zero in G54. No length offset, G49: touch off each cutter.)
(Safe height 8 mm above the board)
(Crossings at 2 mm or more above the board)
(Spoilboard not cut)
(Cutter's axis over X70.992 to 122.014, Y55.134 to 93.42)
(About 1 min, without changes and stops)
(Screws 8 wide, 3 high: X8 Y132, X192 Y132, X8 Y8, X192 Y8)
(T2: flat 3, 2 flutes, 18000 rpm)
(Order of work, mm below the face before any work:)
(1. groove, T2: 0 to 3 deep, F900)
G17 G21 G40 G49 G54 G80 G90 G94
G0 Z25
X0 Y0
T2 M6 (flat 3)
G0 Z25
M3 S18000
G4 P3
(groove)
G0 X71.0596 Y82.9855
Z8
Z2
G1 Z0 F300
G3 X86.3973 Y59.1606 Z-1.5 I55.2011 J18.6873 F900
X91.0713 Y55.2176 I39.8634 J42.5122
G1 X91.1818 Y55.1339
X114.6558 Y64.3558
G3 X116.2655 Y65.2176 I-2.8544 J7.2656
X118.7617 Y67.4685 I-7.7087 J11.0583
X121.0049 Y70.8732 I-11.9561 J10.3188
X121.9246 Y73.643 I-9.9268 J4.8336
X121.9829 Y75.1486 I-4.9756 J0.9467
X121.6136 Y76.6719 I-6.1362 J-0.6813
X120.4985 Y78.8878 I-11.4799 J-4.3886
X118.004 Y82.2032 I-22.7482 J-14.5195
X114.1452 Y86.2612 I-51.1718 J-44.7953
X110.5835 Y89.6772 I-178.7069 J-182.7686
X101.2219 Y93.4167 I-9.6559 J-10.5851
X100.9321 Y93.4197 I-0.2961 J-14.4103
X100.6424 Y93.4169 I-0.0062 J-14.2139
X94.5938 Y91.944 I0.2859 J-14.3303
G2 X71.4094 Y83.2922 I-54.4081 J110.4083
G1 X70.9922 Y83.1847
X71.0596 Y82.9855
G3 X86.3973 Y59.1606 Z-3 I55.2011 J18.6873
X91.0713 Y55.2176 I39.8634 J42.5122
G1 X91.1818 Y55.1339
X114.6558 Y64.3558
G3 X116.2655 Y65.2176 I-2.8544 J7.2656
X118.7617 Y67.4685 I-7.7087 J11.0583
X121.0049 Y70.8732 I-11.9561 J10.3188
X121.9246 Y73.643 I-9.9268 J4.8336
X121.9829 Y75.1486 I-4.9756 J0.9467
X121.6136 Y76.6719 I-6.1362 J-0.6813
X120.4985 Y78.8878 I-11.4799 J-4.3886
X118.004 Y82.2032 I-22.7482 J-14.5195
X114.1452 Y86.2612 I-51.1718 J-44.7953
X110.5835 Y89.6772 I-178.7069 J-182.7686
X101.2219 Y93.4167 I-9.6559 J-10.5851
X100.9321 Y93.4197 I-0.2961 J-14.4103
X100.6424 Y93.4169 I-0.0062 J-14.2139
X94.5938 Y91.944 I0.2859 J-14.3303
G2 X71.4094 Y83.2922 I-54.4081 J110.4083
G1 X70.9922 Y83.1847
X71.0596 Y82.9855
G3 X86.3973 Y59.1606 I55.2011 J18.6873
X90.1868 Y55.9011 Z2 I39.8634 J42.5122
G0 Z8
Z25
X0 Y0
M5
M30
