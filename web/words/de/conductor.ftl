# Die Seite der Leitung.

## Zeilen.

lane-rate = { $hz } Pulse je Sekunde
lane-rate-short = { $hz } je Sekunde
lane-depth = Tiefe { $db } dB
lane-centre = Mitte { $cents } Cent
lane-unmeasured = folgt dem Schlag, ungemessen
lane-slow-line = langsamer Weg
lane-plays-now = spielt jetzt
lane-plays-next = spielt als Nächstes

## Die Zeile des Registers.

section-early = früh
section-late = spät
section-heard = { $n } von { $of } gehört
section-heard-worst-first = { $n } von { $of } gehört, Dringendes zuerst
section-together = zusammen { $share }
section-spread = Streuung { $ms } ms

## Was zu sagen ist, wo der Raum nichts zu sagen hat oder jemand gewählt wurde.

say-chosen = { $name }: { $state }
say-chosen-with = { $name }: { $state }, { $evidence }
say-all-matched = Bei allen passt es.
say-all-measured-matched = Bei allen, die gemessen werden, passt es.
say-all-rest = Alle haben Pause. Start beginnt gleich mit der nächsten Übung.
say-players-in =
    { $n ->
        [one] Einer ist da. Start zählt ein.
       *[other] { $n } sind da. Start zählt ein.
    }
not-measured = nicht gemessen

## Wo die Musik ist.

place-rest = Pause
place-stopped = angehalten
place-then = { $place }, dann { $next }
place-exercise = { $name }, { $number } von { $of }

## Eine Zeile geöffnet: die letzte Minute von einem.

opened-title = { $name }, die letzte Minute
opened-chair = Platz { $chair }, { $part }
opened-rate = Pulse je Sekunde
opened-per-beat = auf den Schlag
opened-depth = Tiefe, dB
opened-swing = Tonhöhe schwankt, Cent
opened-centre = Mitte, Cent
opened-timing = neben dem Schlag, ms
opened-summary =
    { $n ->
        [0] Keine Pulse in der letzten Minute.
        [one] Ein Puls in der letzten Minute, { $matched } % der Zeit passte es.
       *[other] { $n } Pulse in der letzten Minute, { $matched } % der Zeit passte es.
    }

## Bedienung.

order-seated = Folge: wie sie sitzen
order-worst-first = Folge: Dringendes zuerst
control-start = Start
control-stop = Stopp
control-next = Weiter
control-back = Zurück
control-slower = Langsamer
control-slower-to = Langsamer, { $bpm }
control-faster = Schneller
control-faster-to = Schneller, { $bpm }
control-hold = Halten
control-go-on = Fortfahren

## Die Zeile zur Übung, und was als Nächstes kommt.

brief-next = Als Nächstes: { $name }
brief-last = Die letzte Übung
brief-rest = Pause, { $left }
brief-between = nach { $left } Pause
minutes-long =
    { $n ->
        [one] einer Minute
       *[other] { $n } Minuten
    }
seconds-left = { $n } s
brief-rung = Stufe { $number } von { $of }, { $waits }
brief-rung-last = Stufe { $number } von { $of }, die letzte
brief-goes-on-by-itself = geht von selbst weiter
brief-goes-on-when-matched = geht weiter, sobald es passt
brief-goes-on-by-hand = geht mit „Fortfahren“ weiter
plan-warm-up = Einspielen
plan-goal = Ziel: { $goal }
suggestion-next = Weiter
suggestion-again = Nochmal
suggestion-slower = Langsamer
suggestion-step-back = Stufe zurück
suggestion-down-the-line = Der Reihe nach
suggestion-spread = Auf einen Dreiklang verteilen
suggestion-rest = Jetzt Pause
suggestion-all-right = Gut

## Töne einzelner Plätze.

note-for-all = Ton für alle
note-for = Ton für { $name }
note-any = irgendein Ton
note-as-everyone = wie alle

## Der Weg zum Raum.

link-not-sent = Der Raum ist gerade nicht zu erreichen, also wurde nichts gesendet. Es wird weiter versucht.
link-lost = Der Raum ist nicht zu erreichen; es wird weiter versucht. Die Geräte der Spieler behalten, was sie messen.
link-lost-advice = Der Raum ist nicht zu erreichen; es wird weiter versucht. Die Geräte der Spieler behalten, was sie messen. Läuft Windrow noch auf seinem Computer, und ist dieses Gerät im selben WLAN?
door-nobody-in = { $door }, und noch ist niemand da
door-nobody-new = { $door }: Niemand Neues kommt herein.
