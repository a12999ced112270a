(Faced: front)
(Set b9eeb7112b66, 1 of 1: front)
(The machine's manual and local codes come first.)
(Eyes, ears and dust protected. Extinguisher at hand.)
(Never leave it unattended.)
(Check hold-down, zero and cutter.)
(First run in the air with a hand on the stop.)
(Board 200 x 140 x 18.2 mm, thickness as measured)
(Board: board)
(Front up)
(X0 Y0 is the lower left corner of the board as it lies)
(Z0 is the top of the board)
(Zero in G54. No length offset, G49: touch off each cutter.)
(Safe height 5 mm above the board)
(Crossings at 2 mm or more above the board)
(Spoilboard not cut)
(Cutter's axis over X-10.467 to 210.467, Y-9.696 to 149.696)
(About 4 min, without changes and stops)
(Held by double-sided tape: X0 to 200, Y0 to 140)
(T7: flat 16, 2 flutes, 12000 rpm)
(Order of work, mm below the face before any work:)
(1. level the face, T7: 0 to 0.6 deep, F1500)
G17 G21 G40 G49 G54 G80 G90 G94
G0 Z25
X0 Y0
(MSG, Fit T7 flat 16, then set its Z zero)
M0
G0 Z25
M3 S12000
G4 P3
(level the face)
G0 X154.3821 Y-9.6964
Z5
Z2
G1 Z-0.6 F500
X210.4666 Y2.2247 F1500
Y8.743
X123.7161 Y-9.6964
X93.0501
X210.4666 Y15.2613
Y21.7795
X62.3841 Y-9.6964
X31.7181
X210.4666 Y28.2978
Y34.8161
X1.0521 Y-9.6964
X-8.1115 Y-5.1259
X210.4666 Y41.3343
Y47.8526
X-9.4371 Y1.1106
X-10.4666 Y7.41
X210.4666 Y54.3708
Y60.8891
X-10.4666 Y13.9283
Y20.4466
X210.4666 Y67.4074
Y73.9256
X-10.4666 Y26.9648
Y33.4831
X210.4666 Y80.4439
Y86.9621
X-10.4666 Y40.0013
Y46.5196
X210.4666 Y93.4804
Y99.9987
X-10.4666 Y53.0379
Y59.5561
X210.4666 Y106.5169
Y113.0352
X-10.4666 Y66.0744
Y72.5926
X210.4666 Y119.5534
Y126.0717
X-10.4666 Y79.1109
Y85.6292
X210.4666 Y132.59
X209.4371 Y138.8894
X-10.4666 Y92.1474
Y98.6657
X208.1115 Y145.1259
X198.9479 Y149.6964
X-10.4666 Y105.1839
Y111.7022
X168.2819 Y149.6964
X137.6159
X-10.4666 Y118.2205
Y124.7387
X106.9499 Y149.6964
X76.2839
X-10.4666 Y131.257
Y137.7753
X45.6179 Y149.6964
G0 Z5
Z25
X0 Y0
M5
M30
