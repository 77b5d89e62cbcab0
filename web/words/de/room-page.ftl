# Der Raum vor der Musik: wie man hereinkommt, wer da ist und wo, was jedes Gerät hört; und der Aushang.

room-title = { $section }, der Raum
room-notices = Zu wissen und zu entscheiden
room-no-script = Diese Seite braucht JavaScript, um den Raum zu zeigen. Bitte einschalten und die Seite neu laden.
room-pattern = Muster für die Kamera eines Telefons; darin steht die Adresse darunter
room-code = Code
room-open-address = im WLAN des Raums öffnen
room-full-screen = Ganzer Bildschirm
room-print = Das drucken
room-nobody = Noch ist niemand da
room-seats = wie sie sitzen, vom Pult aus gesehen
room-stand = Pult
room-not-in = nicht da
room-plays-now = spielt jetzt
room-in =
    { $n ->
        [1] 1 Spieler ist da
       *[other] { $n } Spieler sind da
    }
room-in-of = { $n } von { $expected } sind da
room-check-title = Raumprobe <span class="quiet">jeder allein für einen Takt, gerade</span>
room-check-help = Nach dem Einzählen ein Takt Stille; dann hält jeder der Reihe nach einen Takt lang einen bequemen Ton. Das sagt, was jedes Gerät vom eigenen Spieler, vom Raum und von jedem Nachbarn hört. Es bleibt, bis der Server endet.
room-key-own = eigener
room-key-neighbour = lautester Nachbar
room-key-noise = Raum, still
room-all-levels = Alle Pegel
room-levels-caption = Zeilen: wessen Gerät. Spalten: wer spielt. dB unter Vollaussteuerung dieses Geräts; Geräte werden nicht miteinander verglichen.
room-levels-device = Gerät
room-levels-own = eigener
room-levels-noise = Rauschen
room-check-start = Raum prüfen
room-check-again = Noch einmal prüfen
room-check-stop = Prüfung anhalten
room-to-rehearsal = Zur Probe
room-tick-title = Der Tick dieses Computers
room-tick-sound = Klang
room-tick-wood = Holz
room-tick-bright = hell
room-tick-loudness = Lautstärke
room-keys = die Tasten C und F gelten überall auf dieser Seite
room-unreachable = Der Raum ist nicht zu erreichen; neuer Versuch läuft.
room-not-sent = Der Raum ist gerade nicht zu erreichen, gesendet wurde also nichts. Neuer Versuch läuft.
room-no-full-screen = Dieser Browser lässt keine Seite den ganzen Bildschirm füllen.

## Was die Prüfung über ein Gerät ergab, in wenigen Worten.

finding-not-checked = nicht geprüft
finding-away = nicht da
finding-no-microphone = kein Mikrofon
finding-silent = nicht gehört
finding-not-heard = nicht gehört
finding-other-is-louder = anderer lauter
finding-turns-level = regelt selbst
finding-too-close = zu nah
finding-noisy = rauscht
finding-clear = klar
finding-apart = { $db } dB Abstand
finding-chair = { $chair }, { $name }
finding-over-noise = { $db } dB über dem Rauschen
finding-over-chair = { $db } dB über Platz { $chair }

## Wie Geräte hierher finden.

reach-or = oder { $name }
reach-nobody = Noch hat kein anderes Gerät diesen Computer erreicht.
reach-reached =
    { $n ->
        [1] 1 Gerät hat diesen Computer erreicht, davon { $secure } über https.
       *[other] { $n } Geräte haben diesen Computer erreicht, davon { $secure } über https.
    }

## Der Aushang.

poster-title = { $section }, Aushang
poster-pattern = Muster für die Kamera eines Telefons; es führt zu { $address } mit dem Code { $code }
poster-type = im Browser eintippen
poster-may-work = { $name } geht vielleicht auch
poster-code = Code
poster-wifi = Geh ins WLAN des Raums:
poster-camera = Richte die Kamera auf das Muster oder tipp die Adresse ein.
poster-page = Tu, was die Seite sagt, und komm herein.
poster-compare = Vergleiche, bevor du vertraust: SHA-256
poster-foot = Dein Gerät schickt, was es gemessen hat, nie den Klang. Der Code wechselt mit jeder Probe.
