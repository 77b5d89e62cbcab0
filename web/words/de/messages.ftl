# Kurze Mitteilungen auf einer Seite für sich: was ist und was zu tun ist.

message-code-title = Dieser Code führt nirgendwohin
message-code = Es gibt keine Probe mit dem Code { $code }. Vergleiche ihn mit dem auf dem Bildschirm der Leitung: sechs Zeichen, die mit jeder Probe wechseln.
message-conductor-only-title = Diese Seite gehört der Leitung
message-conductor-only = Die Leitung meldet sich unter /sign-in mit ihrer Passphrase an. Spieler kommen über die Adresse herein, die bei der Leitung auf dem Bildschirm steht.
message-not-set-up-title = Noch ist keine Passphrase gesetzt
message-not-set-up = Den Link öffnen, den Windrow beim Start ausgegeben hat, und zwar auf dem Computer, auf dem es läuft: Dort wählt die Leitung eine Passphrase. Der Link gilt einmal und eine Stunde lang; „windrow passphrase --link“ gibt einen anderen aus. Spieler kommen über die Adresse herein, die bei der Leitung auf dem Bildschirm steht.
message-unreadable-title = Das ließ sich nicht speichern
message-unreadable = Windrows Aufzeichnungen ließen sich nicht lesen oder schreiben. Nachsehen, ob auf dem Computer, auf dem es läuft, die Platte voll ist, dann noch einmal versuchen.
message-malformed-title = Das ging nicht
message-malformed = Was ankam, war nicht zu verstehen. Zurückgehen, die Seite neu laden und noch einmal versuchen.
message-assistant-title = Das darf nur die Leitung
message-assistant = Als Assistenz leitest du die Probe. Wer was darf und was gelöscht wird, entscheidet die Leitung.
message-nothing-title = Hier ist nichts
message-nothing = Unter dieser Adresse gibt es keine Seite. Spieler beginnen bei der Adresse, die bei der Leitung auf dem Bildschirm steht.
message-wait-title = Einen Moment warten
message-wait-codes =
    { $s ->
        [1] Von hier kamen zu viele falsche Codes. Warte eine Sekunde und versuch es dann noch einmal.
       *[other] Von hier kamen zu viele falsche Codes. Warte { $s } Sekunden und versuch es dann noch einmal.
    }
message-wait-links =
    { $s ->
        [1] Von hier kamen zu viele falsche Links. Warte eine Sekunde und versuch es dann noch einmal.
       *[other] Von hier kamen zu viele falsche Links. Warte { $s } Sekunden und versuch es dann noch einmal.
    }
message-wait-devices =
    { $s ->
        [1] zu viele fremde Geräte haben von hier gefragt: eine Sekunde warten
       *[other] zu viele fremde Geräte haben von hier gefragt: { $s } Sekunden warten
    }
message-link-title = Dieser Link ist verbraucht oder zu alt
message-link-passphrase = Solch ein Link gilt einmal und eine Stunde lang. Ist die Passphrase schon gesetzt: unter /sign-in anmelden. Sonst in einem Terminal auf dem Computer, auf dem Windrow läuft, „windrow passphrase --link“ eingeben: Das gibt einen anderen aus.
message-link-invitation = Eine Einladung gilt einmal und einen Tag lang. Lass dir von der Leitung eine andere geben; hast du sie auf diesem Gerät schon angenommen, öffne die Seite der Leitung.
message-line-title = Nicht über diese Verbindung
message-line = Andere in diesem WLAN könnten mitlesen, was hier getippt wird. Besser den Computer nehmen, auf dem Windrow läuft.
message-line-secure = Andere in diesem WLAN könnten mitlesen, was hier getippt wird. Besser { $url } öffnen oder den Computer nehmen, auf dem Windrow läuft.
message-no-certificate-title = Kein Zertifikat zu installieren
message-no-certificate = Dieser Server hat ein Zertifikat, dem Geräte schon vertrauen, oder gar keines. Fang bei der Adresse an, die bei der Leitung auf dem Bildschirm steht.
message-failed-title = Das ging nicht
message-unmade = Die Seite ließ sich nicht aufbauen. Bitte neu laden.
message-pattern-unmade = Das Muster ließ sich nicht machen. Adresse und Code tun es auch.
message-stopping = Windrow wird gerade beendet. Bitte in einer Minute noch einmal versuchen.
message-too-many-connections-title = Zu viele Verbindungen
message-too-many-connections = Der Computer, auf dem die Probe läuft, hält so viele Verbindungen, wie er kann. Schließ Seiten davon, die niemand braucht, warte eine Minute und lade diese neu. An dem Computer selbst öffnet sich jede Seite.
message-too-slow = Was du geschickt hast, kam so langsam an, dass es aufgegeben wurde; nichts davon wurde behalten. Versuch es noch einmal, wo das WLAN besser ist.
message-elsewhere = Von einem anderen Gerät aus geht das nur über https. Beginne bei der Adresse, die bei der Leitung auf dem Bildschirm steht.
message-https-only = nur über https
message-other-address = diese Seite gehört zu einer anderen Adresse
message-stranger = über dieses Gerät ist nichts bekannt
