# „Mein Mikrofon prüfen“ auf der Seite der Spielenden: was zu tun ist, was gefunden wurde, was zu ändern ist.

check-title = Mein Mikrofon prüfen
check-offer = Hört dich das Mikrofon gut? Zehn Sekunden zeigen es.
check-now = Jetzt prüfen
check-later = Später
check-not-yet = Mikrofon noch nicht geprüft.
check-progress = Wie weit dieser Teil ist
check-start = Los
check-again = Noch einmal prüfen
check-beforehand = Zehn Sekunden: erst still sein, dann einen langen, geraden Ton spielen.
check-not-listening = Diese Seite hört gerade nicht zu. Schließ das hier und drück „Wieder zuhören“.
check-music = Andere spielen gerade, darum wird die Stille nicht beurteilt.
check-be-silent = Sei still.
check-keep = Halte den Ton, lang und gerade.
check-play-one = Jetzt spiel einen Ton, lang und gerade.
check-play = Jetzt spiel deinen Ton, { $note }, lang und gerade.
check-all-well = Alles in Ordnung: Das Mikrofon hört dich deutlich.
check-was-well = Mikrofon geprüft: alles in Ordnung.
check-was = Mikrofon geprüft: { $what }
check-fact-tone = dein Ton { $db }
check-fact-noise = ohne ihn { $db }
check-fact-note = du hast { $note } gespielt
check-fact-rate = { $khz } kHz
found-dead = Vom Mikrofon kommt gar nichts.
change-dead = Such nach einem Schalter an Gerät oder Headset und nach einem stummen Mikrofon in den Einstellungen. Dann prüf noch einmal.
found-no-tone = Es war kein Ton zu hören.
change-no-tone = Spiel einen langen, geraden Ton nahe am Gerät und prüf noch einmal.
found-clipped = Die Spitze deines Klangs ist abgeschnitten.
change-clipped = Rück das Gerät weiter weg oder dreh sein Mikrofon von dir fort.
found-gated =
    { $s ->
        [1] Dein Ton war nach etwa einer Sekunde weg.
       *[other] Dein Ton war nach etwa { $s } Sekunden weg.
    }
change-gated = Wenn du ihn gehalten hast, hält das Gerät lange Töne für Geräusch: Schalt Rauschunterdrückung oder Stimmisolation aus oder nimm ein anderes Gerät.
found-level-turned = Das Gerät regelt seinen Pegel von selbst auf und ab.
found-level-fell = Dein Ton fiel um { $db } dB.
found-level-rose = Dein Ton stieg um { $db } dB.
change-level-turned = Deine Tiefe ist nicht sicher: Nimm wenn möglich ein anderes Gerät.
change-level-turned-by = Wenn du ihn gleich laut gehalten hast, regelt das Gerät den Pegel von selbst, und deine Tiefe ist nicht sicher: Nimm wenn möglich ein anderes.
found-headset = Das klingt nach einem Headset für Sprache.
change-headset = Schalt Bluetooth aus und nimm das Mikrofon des Geräts.
found-noisy = Dein Ton ist nur { $db } dB lauter als der Raum ohne ihn.
change-noisy = Stell das Gerät näher an deinen Klang, weg von Lüftern und Nachbarn.
found-soft = Dein Ton ist hier leise.
change-soft = Stell das Gerät näher, das Mikrofon frei und zu dir hin.
found-other-note = Du hast { $heard } gespielt; dein Ton ist { $asked }.
change-other-note = Wenn du richtig gegriffen hast, ist ein anderes Instrument gewählt als deins: Komm mit deinem noch einmal herein.
found-processed = Das Gerät sagt, dass es den Klang verändert ({ $how }).
change-processed = Deine Pulse sehen vielleicht kleiner aus, als sie sind. Schalt es aus, wenn die Einstellungen das zulassen.
