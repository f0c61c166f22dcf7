N1 G21*81
N2 M117 text with ( and # and [*9
N3 G1 X1 F60
