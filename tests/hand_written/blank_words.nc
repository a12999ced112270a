( plate with a window ledge , words set wide )
G21   G90   G17
G 0  Z 15.
T 1  M 6
M 3  S 16000
G 4  P 3.
G 0  X 40.  Y 30.
G 0  Z 1.
G 1  Z -2.  F 400.
G 1  X 100.  F 1300.
G 1  Y 60.
G 1  X 40.
G 1  Y 30.
G 0  Z 15.
M 5
M 30
