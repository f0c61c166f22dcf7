G2
G3 I
G2 R
%
%
%