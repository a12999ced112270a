(shelf pins 1/4 in, two columns of six, 1.25 apart; cabinet side 12 x 9 x 3/4 birch)
g20 g90 g17 g40 g49 g80
g0 z1.
t1 m6 (drill 1/4)
m3 s6000
g4 p3.
g0 x2. y1.
g99 g83 x2. y1. z-.45 r.1 q.2 f12.
g91 y1.25 z-.55 r0 l5
g90 g80
g0 z1.
g0 x7. y1.
g99 g83 x7. y1. z-.45 r.1 q.2
y2.25
y3.5
y4.75
y6.
y7.25
g80
g0 z1.
m5
m30
