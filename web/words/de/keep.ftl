# Die Seite, auf der für die Aufzeichnungen gesorgt wird.

keep-title = Aufzeichnungen sichern
keep-link = Eine Kopie von allem sichern oder zurückholen
keep-what = Listen, Proben, Ergebnisse und Pläne stehen in einer einzigen Datei auf diesem Computer, sonst nirgends. Ein Laptop kann kaputt- oder verlorengehen: anderswo eine Kopie aufbewahren.

keep-backup-title = Eine Kopie
keep-backup-what = Alles, was gespeichert ist, von diesem Augenblick, in einer Datei. Eine Probe darf dabei weitergehen.
keep-backup = Kopie herunterladen
keep-backup-names = In der Kopie stehen Namen und Ergebnisse: so aufbewahren, dass niemand sonst sie lesen kann. Wer später gelöscht wird, steht in früheren Kopien weiter: dann eine neue machen und die alte löschen.

keep-restore-title = Eine Kopie zurückholen
keep-restore-how = Auf diesem Computer oder auf einem neuen mit Windrow, in einem Terminal:
keep-restore-command = <code>windrow restore DATEI</code>
keep-restore-what = Sie ersetzt, was gespeichert ist; was vorher da war, bleibt 30 Tage lang daneben liegen, oder bis jemand gelöscht wird. Windrow darf dabei laufen: Eine laufende Probe behält, was sie hat; solange Spieler im Raum sind, braucht der Befehl noch --now, weil sich die Liste unter ihnen ändern kann. Passphrase, Anmeldungen und der Code des Raums bleiben. Wer auf diesem Computer seit der Kopie gelöscht wurde, wird wieder gelöscht; auf einem anderen Computer bitte selbst noch einmal löschen.

keep-whole-title = Ist alles heil?
keep-checking = Die Prüfung seit dem Start läuft noch.
keep-whole = Von Anfang bis Ende geprüft, { $date } UTC: Alles ist heil.
keep-damaged = Von Anfang bis Ende geprüft, { $date } UTC: Die Datei ist beschädigt. Jetzt eine Kopie herunterladen, wenn das noch geht; dann die letzte gute zurückholen und die Festplatte dieses Computers prüfen.

keep-long-title = Wie lange
keep-long = Sitzungen werden { $days } Tage nach ihrem Beginn gelöscht. <a href="/conduct/roster">Auf der Seite „Liste“</a> lässt sich das ändern; dort werden auch die Aufzeichnungen einer Person endgültig gelöscht.

keep-failed-title = Keine Kopie möglich
keep-failed = Die Kopie ließ sich nicht machen; geändert wurde nichts. Ist die Festplatte voll? Dann noch einmal versuchen.

## Was zur Aufzeichnung gehört, die ein Spieler herunterladen kann, neben dem, was in mine.ftl steht.

record-kind = was es war: eine Probe (rehearsal), Üben zu Hause (practice) oder später gemessene Aufnahmen (recording)
record-invented = ob es erfunden ist, um etwas zu zeigen
record-n-pulses = gefundene Pulse
record-number = Nummer des Durchgangs in seiner Probe, von 1 an; ein Durchgang ist einmal durch eine Übung
record-began-ms = Beginn des Durchgangs oder seines Teils, Millisekunden nach Beginn der Probe
record-ended-ms = Ende des Durchgangs, ebenso
record-left-out-ms = gleichbleibender Versatz des Geräts, der aus den Zeiten herausgenommen ist, ms
record-whole = was der Durchgang im Ganzen ergab
record-states = von wann an welches Wort gezeigt wurde, Millisekunden nach Beginn des Durchgangs
record-centres = Tonhöhe nach der Zeit: Millisekunden nach Beginn des Durchgangs, und Cent vom Ton aus
record-ease-beats = Schläge, in denen die Tiefe von 10 auf 90 Prozent wuchs, wo die Übung das wollte
record-hairpin = wie gut Tiefe und Tempo der Pulse der Lautstärke folgten, von -1 bis 1, und wo sie am größten war, als Anteil der Übung
record-run = Nummer des Durchgangs, zu dem dieser Teil gehört
record-part-idx = Platz des Teils in seinem Durchgang, von 0 an
record-target = was verlangt war: gerader Ton (straight), Pulse (pulses) oder frei (free)
record-per-beat = verlangte Pulse je Schlag
record-bpm = Tempo, Schläge je Minute; wo es sich änderte, das am Anfang
record-bpm-to = Tempo am Ende, wo es sich änderte
record-loosely = ob das Maß nur gefühlt war
record-bars = Takte, in denen dieser Spieler dran war
record-asked-s = Sekunden, in denen der Spieler da war und nicht pausierte
record-judged-s = die davon, über die etwas gesagt werden konnte
record-held = ob die Stufe gehalten wurde: vier Takte lang passend bei gleichem Tempo
record-trusted = Anteil der Zeit, in dem das Gerät den eigenen Spieler gut genug hörte
record-matched = Anteil der beurteilten Zeit, der passte
record-pulses-per-beat = Pulse je Schlag, wie gespielt
record-timing-spread-ms = Streuung der Pulse um den Schlag, ms (zirkulare Standardabweichung)
record-drift-cents = Tonhöhe am Ende minus am Anfang, Cent
record-from-straight-cents = Tonhöhe mit Vibrato minus die des geraden Tons davor, Cent
record-checked-ms = wann der Raum geprüft wurde, Millisekunden nach Beginn der Probe
record-finding = was die Raumprüfung an diesem Platz fand
record-own-db = Pegel des eigenen Tons, dB unter Vollaussteuerung
record-noise-db = Pegel des Raums, während niemand spielte, ebenso
record-apart-db = eigener Ton über dem lautesten Nachbarn oder über dem Geräusch, dB
