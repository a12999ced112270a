(fence block: through rebate open at both ends, made past the edges; then two slots)
(softwood 120 x 90 x 28, in the vise; overhang 4 allowed)
G21G17G90G94
G0Z12
M3S16000
(rebate on the near edge 5 deep, 9 wide: two passes)
G0X-1Y92
G0Z3
G0X-1Y84
G1Z-2.5F350
G1X121F1100
G1Y87
G1X-1
G1Y84
G1Z-5F350
G1X121F1100
G1Y87
G1X-1
G0Z12
(slots)
G0X30Y30
G0Z0.5
G1Z-3F350
G1Y60F1100
G1Z-6F350
G1Y30F1100
G0Z12
G0X90
G0Z0.5
G1Z-3F350
G1Y60F1100
G1Z-6F350
G1Y30F1100
G0Z12
M5
M2
