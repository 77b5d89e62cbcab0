# The first minute: the imaginary section, and what a page says while there is nothing on it yet.

try-taken-title = Players are in
try-taken = The imaginary section never sits among real players. Try it when nobody is in.
try-ended-title = The room has ended
try-ended = Windrow is being stopped. Start it again, then load this page anew.
