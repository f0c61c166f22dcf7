g21
g91 m83
g1x10e1f600

;
x.5y-.5e.1
