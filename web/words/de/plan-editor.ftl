# Das Bearbeiten eines Plans: die Seite, ihre Felder, was getan wurde, und was das Speichern verhindert.

editor-page-title = { $title }, ändern · Windrow
editor-page-title-changed = * { $title }, ändern · Windrow
editor-head = „{ $title }“ ändern
editor-not-right = Einiges stimmt noch nicht:
editor-doubts = Gespeichert. Das vielleicht noch einmal ansehen:
editor-text = Der Plan, wie er in der Datei steht (JSON)
editor-save = Speichern
editor-save-use = Speichern und verwenden
editor-save-copy = Meinen als Kopie speichern
editor-see-other = Den anderen ansehen
editor-undo = Rückgängig
editor-not-saved = Der Plan ist noch nicht gespeichert: Einiges stimmt noch nicht.

## Was aus dem Speichern wurde.

editor-not-saved-yet = Noch nicht gespeichert.
editor-saved = Gespeichert.
editor-saved-doubts = Gespeichert; oben auf der Seite steht etwas, das noch einmal anzusehen ist.
editor-saved-but = Gespeichert, bis auf das, was seitdem geändert wurde.
editor-changed-elsewhere = Dieser Plan wurde von einer anderen Seite aus geändert, nachdem er hier geöffnet war. Der eigene steht noch auf dieser Seite: als Kopie speichern oder erst den anderen ansehen.
editor-unreached = Windrow ist nicht zu erreichen, deshalb wurde nichts gespeichert. Alles Getippte bleibt hier stehen; gleich noch einmal versuchen.
editor-signed-out = Hier ist niemand mehr angemeldet. Auf einer anderen Seite anmelden, dann hier noch einmal speichern.
editor-n-not-right =
    { $n ->
        [1] Nicht gespeichert: Eines stimmt noch nicht.
       *[other] Nicht gespeichert: { $n } Dinge stimmen noch nicht.
    }
editor-version-ending = {", meine Fassung"}
editor-wrong-field = { $label }: { $text }
editor-wrong-exercise = Übung { $n }, { $label }: { $text }
editor-wrong-titled = Übung { $n }, „{ $title }“, { $label }: { $text }

## Die Liste der Übungen.

editor-exercises = Übungen
editor-one-more = Noch eine Übung
editor-add = Hinzufügen
editor-kind-option = { $kind }: { $about }
editor-numbered = { $n }. { $name }
editor-with-part = { $part }: { $asks }
editor-what-it-asks = Was sie verlangt
editor-what-it-asks-of = : { $name }
editor-exercise = Übung
editor-up = Hinauf
editor-down = Hinunter
editor-duplicate = Verdoppeln
editor-remove = Entfernen
editor-up-of = Hinauf: { $n }, { $name }
editor-down-of = Hinunter: { $n }, { $name }
editor-duplicate-of = Verdoppeln: { $n }, { $name }
editor-remove-of = Entfernen: { $n }, { $name }
editor-is-moved = { $name } ist jetzt Nummer { $n }.
editor-is-doubled = { $name } ist verdoppelt, Nummer { $n }.
editor-is-added = { $name } ist hinzugefügt, Nummer { $n }.
editor-is-removed = { $name } ist entfernt.
editor-is-back = { $name } ist wieder da, Nummer { $n }.
editor-group-words = Worte und Pause
editor-group-notes = Töne und Reihenfolge
editor-group-bands = Was genau genug ist

## Arten von Übungen.

editor-straight = Gerader Ton
editor-straight-about = Ein ruhiger Ton ohne Vibrato.
editor-pulses = Gemessene Pulse
editor-pulses-about = Pulswerte nacheinander, je einen Takt oder einen Schlag lang.
editor-ladder = Leiter
editor-ladder-about = Dasselbe auf einer Metronomstufe nach der anderen.
editor-ease = Hinein und hinaus
editor-ease-about = Gerade, wachsend, voll, abnehmend, gerade.
editor-hairpin = Schwellton
editor-hairpin-about = Lautstärke, Tiefe und Tempo der Pulse wachsen und schrumpfen zusammen.
editor-music = Lange Töne aus der Musik
editor-music-about = Eine Linie aus Tönen, über jedem ein Pulswert.
editor-free = Freies Vibrato
editor-free-about = Vibrato ohne Maß.

## Was eine Übung verlangt, neben ihrem Namen.

editor-asks-straight = gerader Ton bei { $bpm }
editor-asks-free = freies Vibrato bei { $bpm }
editor-asks-pulses = { $values } bei { $bpm }
editor-asks-pulses-changing = { $values } bei { $bpm } bis { $bpm_to }
editor-asks-rate = { $hz } je Sekunde
editor-asks-ladder = { $value } von { $from } bis { $to }
editor-asks-ease = { $value } bei { $bpm }, { $beats }
editor-asks-hairpin = { $from } nach { $to }, { $values } bei { $bpm }
editor-asks-music = { $notes } bei { $bpm }

## Felder.

editor-tempo = Tempo
editor-tempo-end = Tempo am Ende
editor-length = Länge
editor-loudness = Wie laut
editor-times = Wie oft
editor-rest-between-times = Pause zwischen zwei Malen
editor-values = Pulswerte
editor-each = Jeder dauert
editor-each-bar = einen Takt
editor-each-beat = einen Schlag
editor-first-rung = Erste Sprosse
editor-last-rung = Letzte Sprosse
editor-value = Pulswert
editor-rung-length = Länge einer Sprosse
editor-rung-rest = Pause zwischen den Sprossen
editor-go-on = Die nächste Sprosse kommt
editor-go-on-by-itself = von selbst
editor-go-on-when-matched = wenn das Register passt
editor-go-on-by-hand = wenn ich es sage
editor-matched = Es passt bei
editor-step-back = Eine Sprosse zurück, wenn es auseinanderfällt
editor-phase-straight = Gerade
editor-phase-growing = Wachsend
editor-phase-full = Voll
editor-phase-fading = Abnehmend
editor-phase-straight-after = Wieder gerade
editor-values-up = Pulswerte auf dem Weg hinauf
editor-loudness-ends = Lautstärke an beiden Enden
editor-loudness-turn = Lautstärke am Wendepunkt
editor-way-up = Hinauf
editor-way-down = Hinunter
editor-line = Die Linie, jeder Ton, wie er klingt
editor-passes = Gespielt, ein Mal nach dem anderen
editor-rest-between-passes = Pause zwischen zwei Durchgängen
editor-name = Name
editor-part = Hier beginnt ein Teil des Plans
editor-say = Ein Satz für den Spieler
editor-goal = Was zu erreichen ist
editor-cautions = Worauf zu achten ist, je eine Zeile
editor-rest-after = Pause danach
editor-note = Ton, wie er klingt
editor-voicing = Auf die Plätze verteilt
editor-voicing-fifth = Grundton und Quinte
editor-voicing-steps = drei Nachbartöne
editor-tuning = Stimmung eines Akkords
editor-tuning-equal = temperiert
editor-tuning-just = rein
editor-turns = Wer wann spielt
editor-turns-together = alle zusammen
editor-turns-down-the-line = der Reihe nach
editor-band-rate = Neben der Pulsrate
editor-band-timing = Neben dem Schlag
editor-band-centre = Neben dem Ton
editor-band-depth = Geringste Tiefe
editor-band-swing = Größtes Schwanken der Tonhöhe
editor-title = Titel
editor-about = Wofür er ist
editor-takes = Wie lange er wirklich dauert
editor-beats-per-bar = Schläge im Takt

## Einheiten.

editor-unit-bpm = Schläge je Minute
editor-unit-beats = Schläge
editor-unit-bars = Takte
editor-unit-times = Mal
editor-unit-share = Prozent derer, die sich beurteilen lassen
editor-unit-seconds = Sekunden
editor-unit-percent = Prozent
editor-unit-ms = ms
editor-unit-cents = Cent
editor-unit-db = dB

## Was ein leeres Feld heißt, und was dort gewählt wird.

editor-none = keine
editor-none-choose = wählen
editor-none-take-away = (wegnehmen)
editor-none-until-stopped = bis angehalten wird
editor-none-as-they-like = nach Belieben
editor-none-the-same = dasselbe
editor-none-times = ein Wert, bis angehalten wird, mehrere einmal
editor-none-name = nach dem, was sie verlangt
editor-none-part = etwa Tag 1 bis 3
editor-none-room = wie im Raum eingestellt
editor-none-note = beliebig
editor-none-usual = wie üblich
editor-none-takes = etwa zwei Wochen, zehn Minuten am Tag
editor-row-place = { $label }, { $n }
editor-add-one = Noch einer
editor-add-one-of = Noch einer: { $label }

## Die Linie der Töne.

editor-column-note = Ton
editor-column-beats = Schläge
editor-column-pulses = Pulse
editor-column-loudness = Lautstärke
editor-column-loudness-end = am Ende
editor-column-tied = Gebunden
editor-cell-note = Klingender Ton, Ton { $n }
editor-cell-beats = Schläge, Ton { $n }
editor-cell-pulses = Pulse, Ton { $n }
editor-cell-loudness = Lautstärke, Ton { $n }
editor-cell-loudness-end = Lautstärke am Ende, Ton { $n }
editor-cell-tied = An den nächsten gebunden, Ton { $n }
editor-cell-as-before = wie zuvor
editor-add-note = Einen Ton hinzufügen
editor-insert = Einfügen
editor-insert-after = Einen Ton nach Ton { $n } einfügen
editor-remove-note = Ton { $n } entfernen
