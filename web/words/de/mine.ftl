# Was über einen Spieler gespeichert ist, auf seinem eigenen Gerät.

mine-title = Meine Daten
mine-heading = Was über mich gespeichert ist
mine-sound-stays = Der Klang verlässt dieses Gerät nie: Er wird hier gemessen und vergessen. Was gemessen wurde, ist nur auf dem Computer deiner Leitung gespeichert.
mine-no-script = Diese Seite braucht JavaScript, um zu zeigen, dass du es bist, der fragt. Schalte es ein und lade die Seite neu.
mine-name = Name
mine-instrument = Instrument
mine-part = Stimme
mine-section = In der Liste von
mine-devices = Geräte
mine-measured = Gemessen
mine-not-all = Dieses Gerät ist für diesen Namen neu und zeigt deshalb nur, was es selbst aufgezeichnet hat. Bitte deine Leitung, es in der Namensliste zu bestätigen; dann steht hier alles.
mine-sessions-title = Proben
mine-of-each = Von jeder Probe: dein Name, Instrument und Platz; von jedem Puls Zeitpunkt, Tiefe, Tonschwankung und Tonhöhe; von jedem Teil einer Übung, was dabei herauskam; was die Raumprüfung an deinem Platz fand. Eine Probe wird nach <span id="keep-days"></span> Tagen gelöscht.
mine-download = Alles herunterladen
mine-erase = Alles löschen
mine-erase-sure = Endgültig löschen
mine-keep = Behalten
mine-to-rehearsal = Zur Probe

mine-no-part = keine
mine-no-section = keiner; du bist mit einem Spitznamen gekommen
mine-pulses =
    { $n ->
        [0] keine Pulse
        [1] 1 Puls
       *[other] { $n } Pulse
    }
mine-results =
    { $n ->
        [0] keine Ergebnisse
        [1] 1 Ergebnis
       *[other] { $n } Ergebnisse
    }
mine-sessions =
    { $n ->
        [0] keiner Probe
        [1] 1 Probe
       *[other] { $n } Proben
    }
mine-measured-in = { $pulses } und { $results } in { $sessions }
mine-session = { $date }, { $section }, als { $name }: { $pulses }, { $results }
mine-this-device = dieses
mine-other-device = eines, zuletzt da am { $date }
mine-sure-all = Alles aus allen Proben wird endgültig gelöscht und lässt sich nicht zurückholen. Deine Leitung erfährt, dass du es getan hast.
mine-sure-device = Was dieses Gerät aufgezeichnet hat, wird endgültig gelöscht und lässt sich nicht zurückholen. Deine Leitung erfährt, dass du es getan hast.
mine-erased = Es ist gelöscht. Dieses Gerät ist hier wieder fremd. Hast du zu Hause geübt, liegt das noch auf diesem Gerät: Lösche es unter „Üben zu Hause“.

mine-busy = Der Computer der Leitung kann gerade nicht antworten. Lade diese Seite gleich noch einmal.
mine-not-fetched = Das war gerade nicht zu bekommen. Versuch es gleich noch einmal.
mine-not-erased = Das ließ sich gerade nicht löschen, es ist also noch alles da. Versuch es gleich noch einmal.
mine-unreachable = Der Computer der Leitung ist nicht zu erreichen. Ist dieses Gerät im WLAN des Raums? Dann lade diese Seite neu.

## Was bei der Aufzeichnung steht, die man herunterladen kann, über ihre Felder.

record-about = Alles, was Windrow über einen Spieler speichert. Klang wird nicht gespeichert; keiner hat je das Gerät verlassen.
record-date-utc = wann die Probe begann
record-time-ms = Millisekunden nach Beginn der Probe
record-depth-db = Pegel vom Tal zur Spitze eines Pulses, dB
record-swing-cents = Schwankung der Tonhöhe innerhalb eines Pulses, Cent, von Spitze zu Spitze
record-mean-cents = mittlere Tonhöhe eines Pulses, Cent vom Ton aus
record-choked = ob der Ton im Tal vor dem Puls abriss
record-score-version = zu welcher Fassung des Ablaufs der Abschnitt gehört
record-span-idx = Platz des Abschnitts in dieser Fassung, von 0 an
record-pulse-rate-hz = Pulse je Sekunde im Abschnitt
record-depth-db-pp = mittlere Tiefe (Median) im Abschnitt, dB
record-swing-cents-pp = mittlere Schwankung der Tonhöhe (Median) im Abschnitt, Cent
record-centre-cents = mittlere Tonhöhe im Abschnitt, Cent vom Ton aus
record-evenness-cv = Streuung der Abstände zwischen den Pulsen, geteilt durch ihr Mittel
record-timing-ms = Median von Puls minus Schlag, ms; negativ heißt zu früh
record-state = das Wort, das gezeigt wurde
record-calibrated = ob die eigene Verzögerung des Geräts bekannt war, sodass die Zeiten wirklich gelten
