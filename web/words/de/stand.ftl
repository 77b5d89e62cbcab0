# Die Zeile mit Links auf den Seiten der Leitung, und was diese Seiten gemeinsam haben.
stand-label = Seiten der Leitung
stand-rehearsal = Probe
stand-plans = Pläne
stand-results = Ergebnisse
stand-weeks = Wochen
stand-room = Raum
stand-roster = Liste
stand-access = Zugang
section-unnamed = Unser Register
section-invented = { $section }, erfundene Spieler
