# Was am Server während einer Probe ausfällt, wie die Leitung es liest: was fehlt, was weitergeht, was zu tun ist.

trouble-devices-keep = Die Probe geht weiter, und die Geräte der Spieler behalten, was gespielt wird: etwa sieben Minuten lang, danach geht das Älteste verloren.
trouble-records-full = In die Aufzeichnungen kann nichts geschrieben werden: Die Festplatte dieses Computers ist voll. { $devices } Platz schaffen, dann kommt alles von selbst herein.
trouble-records-read-only = In die Aufzeichnungen kann nichts geschrieben werden: Die Festplatte oder der Ordner mit den Aufzeichnungen lässt sich nur lesen. { $devices } Wieder beschreibbar machen, dann kommt alles von selbst herein.
trouble-records-locked = In die Aufzeichnungen kann nichts geschrieben werden: Ein anderes Programm benutzt die Datei. { $devices } Dieses Programm beenden, etwa eine Sicherung, einen Abgleich oder einen Datenbankbetrachter, dann kommt alles von selbst herein.
trouble-records-missing = Die Datei der Aufzeichnungen ist nicht mehr an ihrem Platz. { $devices } Die Datei zurücklegen, oder Windrow anhalten und neu starten.
trouble-records-replaced = An die Stelle der Aufzeichnungen wurde eine andere Datei gelegt, während Windrow lief. Deshalb wird jetzt nichts geschrieben. { $devices } Windrow anhalten und neu starten.
trouble-records-handles = In die Aufzeichnungen kann nichts geschrieben werden: Windrow hat so viele Dateien und Verbindungen offen, wie dieser Computer erlaubt. { $devices } Seiten schließen, die niemand braucht.
trouble-records-disk = In die Aufzeichnungen kann nichts geschrieben werden: Die Festplatte meldet Fehler. { $devices } So bald wie möglich eine Kopie der Aufzeichnungen auf einer anderen Festplatte anlegen.
trouble-records-damaged = In die Aufzeichnungen kann nichts geschrieben werden: Die Datei ist beschädigt. { $devices } Nach der Probe die letzte gute Kopie zurückholen.
trouble-records-other = In die Aufzeichnungen kann nichts geschrieben werden. { $devices } Was Windrow in seinem Fenster ausgibt, sagt mehr.
trouble-records-brought-back = Die Datei der Aufzeichnungen wurde entfernt, während Windrow lief. Alles, was darin war, liegt wieder an seinem Platz. Zum Löschen die Seite „Liste“ benutzen oder Windrow vorher anhalten.
trouble-connections = Niemand kommt mehr herein: Windrow hat so viele Verbindungen offen, wie dieser Computer erlaubt. Wer da ist, macht weiter. Seiten schließen, die niemand braucht; wer wartet, kommt dann von selbst herein.
trouble-room-anew = In Windrow ist etwas schiefgegangen, und der Raum hat neu begonnen. Die Spieler kommen von selbst wieder, und was bisher gespielt wurde, ist aufgezeichnet. Die Musik neu starten.
trouble-slept = Dieser Computer hat { $time } lang geschlafen. Die Musik stand solange still; die Geräte finden den Takt von selbst wieder. Den Ruhezustand während einer Probe abschalten.
trouble-stood-still = Dieser Computer stand { $time } lang still: Er schlief oder war überlastet. Die Musik lief nach der Uhr weiter; die Geräte finden den Takt von selbst wieder.
trouble-seconds = { $n } Sekunden
trouble-minutes = { $n } Minuten
