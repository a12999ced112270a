(drawer front: V border, then a 1 in hole for the pull; inches)
g20 g90 g17 g94
g0 z.75
t3 m6
m3 s16000
g4 p3
g0 x1 y1
g0 z.1
g1 z-.06 f12
g1 x7 f40
g1 y4
g1 x1
g1 y1
g0 z.75
m5
t1 m6
m3 s16000
g4 p3
g0 z.75
g0 x4.375 y2.5
g0 z.1
g1 z0 f20
g3 x4.375 y2.5 z-.1 i-.375 f40
g3 x4.375 y2.5 z-.2 i-.375
g3 x4.375 y2.5 i-.375
g1 x4.2 f40
g3 x4.2 y2.5 i-.2
g1 x4
g0 z.75
m5
m30
