(trivet: lattice of grooves, in steps; beech 180 x 180 x 15)
(eight along X to half depth, eight along Y from the other face are for another day)
g21 g90 g94
g0 z10
t1 m6
m3 s16000
g4 p3
g0 x25 y30
g0 z1
g91
g1 z-4.5 f400
g1 x130 f1200
g1 z-3.5 f400
g1 x-130 f1200
g0 z8
g0 y17
g0 z-0.5
g1 z-4 f400
x130 f1200
z-3.5 f400
x-130 f1200
g0 z8
y17
z-0.5
g1 z-4 f400
x130 f1200
z-3.5 f400
x-130 f1200
g0 z8
y17
z-0.5
g1 z-4 f400
x130 f1200
z-3.5 f400
x-130 f1200
g0 z8
y17
z-0.5
g1 z-4 f400
x130 f1200
z-3.5 f400
x-130 f1200
g0 z8
y17
z-0.5
g1 z-4 f400
x130 f1200
z-3.5 f400
x-130 f1200
g0 z8
y17
z-0.5
g1 z-4 f400
x130 f1200
z-3.5 f400
x-130 f1200
g0 z8
g90
g0 z10
m5
m2
