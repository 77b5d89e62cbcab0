# What more than one page says.
list-and = { $first } and { $last }
languages-label = Language
door-open = The room is open
door-closed = The room is closed
door-timed-out = The room has closed by itself
door-code = code
door-closed-code = closed; code
answer-seen = All right
answer-keep-first = Keep the first
answer-second-takes-over = The second is right
answer-second-is-nickname = The second is somebody else
tick-here-heard = Tick here: heard
tick-here-silent = Tick here: silent
reload-page = Reload this page.
page-not-started = The page did not start: { $why }. Reload it; if that does not help, use a newer browser.
