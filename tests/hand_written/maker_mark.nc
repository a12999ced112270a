(maker's mark on the underside, turned top to bottom, zero upper right: X and Y count down)
g21g90g17
g0z10
t3m6
m3s16000
g4p2
g0x-40y-20
g0z1
g1z-.8f300
g1x-30y-40f900
g1x-20y-20
g0z1
g0x-36y-28
g1z-.8f300
g1x-24f900
g0z10
m5
m30
