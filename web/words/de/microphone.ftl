# Das Mikrofon: wie man es erlaubt, was am Klang eines Geräts nicht stimmt, für den Spieler und in wenigen Worten für die Leitung.
# Die Namen von Menüs sind aus dem Gedächtnis und ändern sich; darum sagt jeder Text, wonach zu suchen ist.

mic-your-browser = dein Browser
mic-insecure = Diese Seite darf nicht zuhören, weil ihre Adresse nicht mit https beginnt. Frag nach der https-Adresse des Raums und komm dort herein.
mic-cannot = Dieser Browser kann nicht zuhören. Nimm einen neueren oder ein anderes Gerät.
mic-held = Ein anderes Programm hat das Mikrofon. Beende Anrufe und Aufnahmen, dann drück „Wieder zuhören“.
mic-none = Kein Mikrofon gefunden. Schließ eins an oder nimm ein anderes Gerät, dann drück „Wieder zuhören“.
mic-refused = Das Mikrofon ist nicht erlaubt. { $how } Dann drück „Wieder zuhören“.
mic-refused-by-system = Das Gerät lässt { $browser } nicht an das Mikrofon. Erlaube es in den Datenschutz-Einstellungen des Geräts, dann drück „Wieder zuhören“.
mic-question-closed = Die Frage nach dem Mikrofon wurde geschlossen. Drück „Wieder zuhören“ und wähle „Zulassen“.
mic-allow = Klick auf das Zeichen links der Adresse und stell „Mikrofon“ auf „Zulassen“.
mic-allow-firefox = Klick auf das durchgestrichene Mikrofon links der Adresse und nimm die Sperre weg.
mic-allow-safari = Wähle Safari, „Einstellungen für diese Website“, „Mikrofon: Erlauben“.
mic-allow-iphone-safari = Tipp auf das Zeichen neben der Adresse („aA“ oder Striche), dann „Website-Einstellungen“ und „Mikrofon: Erlauben“. Wenn es dort fehlt: Einstellungen, Apps, Safari, Mikrofon.
mic-allow-iphone = Öffne die Einstellungen des Geräts, dann Apps, { $browser }, und schalte „Mikrofon“ ein.
mic-allow-android = Tipp auf das Zeichen links der Adresse, dann „Berechtigungen“, und schalte „Mikrofon“ ein. Wenn es dort fehlt: Einstellungen des Geräts, Apps, dein Browser, Berechtigungen.
mic-allow-android-firefox = Tipp auf das Schloss neben der Adresse, dann „Mikrofon“, bis es erlaubt ist.
mic-allow-chromebook = Klick auf das Zeichen links der Adresse und schalte „Mikrofon“ ein. Geht das nicht, hat die Schule es gesperrt: Frag, wer die Geräte betreut.

## Was im Klang zu hören ist, für den Spieler.

capture-clips = Dein Mikrofon übersteuert: Rück es weiter weg.
capture-headset = Das klingt nach einem Bluetooth-Headset: Nimm das Mikrofon des Geräts.
capture-gain = Dieses Gerät regelt die Lautstärke von selbst, darum ist deine Tiefe nicht sicher: Spiel wenn möglich mit einem anderen.
capture-processed = Dein Gerät verändert den Klang ({ $how }): Deine Pulse sehen vielleicht kleiner aus, als sie sind.
processing-echo-cancellation = Echo-Unterdrückung
processing-noise-suppression = Rauschunterdrückung
processing-auto-gain-control = automatischer Pegel

## Dasselbe in wenigen Worten, für die Leitung.

lane-capture-clips = das Mikrofon übersteuert
lane-capture-headset = klingt nach Headset
lane-capture-level = das Gerät regelt den Pegel
lane-checked = Mikrofon geprüft
lane-over-line = langsame Leitung
lane-check-dead = vom Mikrofon kommt nichts
lane-check-no-tone = kein Ton in der Probe
lane-check-clipped = übersteuert
lane-check-gated = schneidet lange Töne ab
lane-check-level-turned = regelt den Pegel
lane-check-headset = klingt nach Headset
lane-check-noisy = Geräusch nahe am Ton
lane-check-soft = leise
lane-check-other-note = spielt einen anderen Ton
lane-check-processed = verändert den Klang
