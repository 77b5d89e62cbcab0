# Was mehr als eine Seite sagt.
list-and = { $first } und { $last }
languages-label = Sprache
door-open = Der Raum ist offen
door-closed = Der Raum ist geschlossen
door-timed-out = Der Raum hat sich von selbst geschlossen
door-code = Code
door-closed-code = geschlossen; Code
answer-seen = Gut
answer-keep-first = Der erste bleibt
answer-second-takes-over = Der zweite ist richtig
answer-second-is-nickname = Der zweite ist jemand anderes
tick-here-heard = Tick hier: zu hören
tick-here-silent = Tick hier: still
reload-page = Lade diese Seite neu.
page-not-started = Die Seite ist nicht gestartet: { $why }. Neu laden; hilft das nicht, einen neueren Browser verwenden.
