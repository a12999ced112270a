(House number 72, V 60 deg, slate-like MDF 200 x 120 x 16)
(zero on the spoilboard, lower left: top of board is Z16)
G21
G90
G17
G00 Z30.
(MSG, put in T3 and set Z on the spoilboard)
M00
M03 S16000
G04 P3.
(seven)
G00 X40. Y90.
G00 Z17.
G01 Z14. F300.
G01 X80. F900.
G01 X60. Y30.
G00 Z17.
(two)
G00 X110. Y75.
G01 Z14. F300.
G02 X140. Y75. R15. F900.
G02 X137. Y66. I-15. J0.
G01 X110. Y30.
G01 X140.
G00 Z30.
(frame, twice round)
G00 X20. Y15.
G00 Z17.
G01 Z15. F300.
G01 X180. F900.
G01 Y105.
G01 X20.
G01 Y15.
G01 Z14.2 F300.
G01 X180. F900.
G01 Y105.
G01 X20.
G01 Y15.
G00 Z30.
M05
M02
