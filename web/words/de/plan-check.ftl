# Was an einem Plan nicht stimmt oder zweifelhaft ist, und was aus einer Notendatei wird. Namen und Texte einer Datei stehen
# in geraden Anführungszeichen, so wie in der Datei.

## Wo.

plan-at = { $place }: { $text }
plan-field-of = { $exercise }, { $field }
plan-exercise = Übung { $n }
plan-exercise-titled = Übung { $n }, „{ $title }“
plan-exercise-of-kind = Übung { $n } ({ $kind })

## Eine Datei, die kein Plan ist.

plan-too-big = die Datei ist zu groß: { $kib } KiB, ein Plan hat höchstens { $most }
plan-empty-file = die Datei ist leer
plan-is-xml = das ist XML, kein Plan: Eine Notenzeile in MusicXML wird mit „windrow plan import“ zum Plan
plan-is-none = das ist kein Plan: Ein Plan beginnt mit { $begins }
plan-no-format = "format" fehlt: Ein Plan beginnt mit { $begins }
plan-other-format = format: Ein Plan beginnt mit { $begins }, hier steht { $is }
plan-no-version = "version" fehlt: "version": { $version } hinschreiben
plan-newer = diese Datei hat Version { $is }, dieses Windrow liest sie bis { $version }: ein neueres Windrow holen
plan-other-version = version: muss { $version } sein, ist aber { $is }
plan-at-sign = Zeile { $line }, Spalte { $column }: { $what }
plan-at-sign-in = Zeile { $line }, Spalte { $column }: { $what } (die Zeile lautet: { $text })
plan-ends-early = die Datei endet zu früh: Eine Klammer oder ein Anführungszeichen ist nicht geschlossen
plan-no-comma = ein Komma oder die schließende Klammer "{ $sign }" fehlt
plan-no-colon = nach einem Namen fehlt der Doppelpunkt
plan-comma-too-many = vor einer schließenden Klammer steht ein Komma zu viel: wegnehmen
plan-no-name = hier muss ein Name in Anführungszeichen stehen
plan-no-value = hier muss eine Zahl, ein Text in Anführungszeichen, true, false oder eine Klammer stehen
plan-goes-on = der Plan ist zu Ende, aber es folgt noch etwas
plan-over-the-line = ein Text geht über das Zeilenende hinaus: Fehlt das schließende Anführungszeichen?
plan-twice = "{ $name }" steht hier zweimal: eines davon wegnehmen

## Namen und Arten von Werten.

plan-missing = "{ $name }" fehlt
plan-unknown = hier gibt es kein "{ $name }". Möglich sind: { $known }
plan-unknown-alike = hier gibt es kein "{ $name }"; ist "{ $alike }" gemeint? Möglich sind: { $known }
plan-of-kind = erwartet wird { $wanted }, hier steht { $found }
plan-a-number = eine Zahl
plan-a-whole-number = eine ganze Zahl ab 0
plan-true-or-false = true oder false
plan-a-list = eine Liste in eckigen Klammern
plan-a-text = ein Text in Anführungszeichen
plan-an-object = ein Objekt in geschweiften Klammern
plan-one-kind = ein Objekt mit einem einzigen Namen, dem dessen, was gespielt wird, etwa { $example }
plan-the-text = der Text "{ $text }"
plan-found-object = ein Objekt
plan-found-list = eine Liste
plan-found-name = nur sein Name
plan-null = ist null, und das sagt nichts: einen Wert hinschreiben oder das Feld weglassen, wo ein Plan es nicht braucht
plan-no-list = darf keine Liste in eckigen Klammern sein
plan-not-a-note = "{ $text }" ist kein Ton: ein Buchstabe in englischer Schreibweise (B ist das deutsche H, Bb das deutsche B), wenn nötig # oder b, dann die Oktave, etwa C4, F#3 oder Bb2

## Wie groß und wie lang.

plan-in-range = muss von { $least } bis { $most } gehen, ist aber { $is }
plan-above = muss über { $least } liegen und höchstens { $most } sein, ist aber { $is }
plan-what-in-range = { $what } muss von { $least } bis { $most } gehen, ist aber { $is }
plan-tempo = das Tempo (Schläge je Minute)
plan-length = die Länge (Schläge)
plan-share = der Anteil
plan-empty-text = darf nicht leer sein
plan-long-text = darf höchstens { $most } Zeichen haben, hat aber { $is }
plan-empty-list = darf nicht leer sein: Mindestens eines muss dort stehen
plan-long-list = darf höchstens { $most } Einträge haben, hat aber { $is }
plan-must-be-text = muss "{ $text }" sein
plan-must-be = muss { $number } sein
plan-name-signs = darf nur aus kleinen Buchstaben ohne Umlaute, Ziffern und Bindestrichen bestehen, etwa "first-lesson", ist aber "{ $name }"

## Was zusammen keinen Sinn ergibt.

plan-silence-alone = ist nur Stille: Mindestens ein Wert muss klingen
plan-no-end = fehlt: Ein Tempo, das sich unterwegs ändert, braucht ein Ende
plan-too-many-values = ergibt { $n } Takte oder Schläge mit eigenem Wert: höchstens { $most } verwenden
plan-no-mark = muss eine Metronomstufe sein, etwa { $marks }, ist aber { $is }
plan-either = { $one } oder { $other }
plan-ladder-goes-up = muss schneller sein als from_bpm ({ $from }), denn eine Leiter geht aufwärts, ist aber { $to }
plan-ladder-counted = müssen gezählte Pulse sein, etwa "triplets": Eine Leiter mit "{ $value }" gibt es nicht
plan-ease-pulses = müssen Pulse oder "free" sein, denn hier wächst das Vibrato: "{ $value }" hat keines
plan-ease-empty = growing, full und fading sind alle 0: Mindestens eines braucht eine Länge
plan-hairpin-grows = muss lauter sein als from, denn ein Schwellton wächst zuerst
plan-hairpin-rest = enthält "rest": In einem Schwellton klingt der Ton durch
plan-hairpin-free = ist entweder "free" allein oder kommt ohne aus
plan-no-dynamic = braucht auf diesem Ton oder davor ein "dynamic", von dem es ausgeht
plan-value-over-rest = steht über einer Pause: ihr einen Ton geben oder den Wert wegnehmen
plan-rest-over-note = ist "rest" über einem Ton: für eine Pause "note" weglassen
plan-tie-of-rest = bindet eine Pause: Nur Töne lassen sich binden
plan-tie-at-end = bindet den letzten Ton, nach dem keiner mehr kommt
plan-tie-to-rest = führt in eine Pause: Ein Haltebogen führt zum selben Ton
plan-tie-to-other = führt von { $from } zu { $to }: Ein Haltebogen hält denselben Ton, also wegnehmen
plan-rests-alone = sind nur Pausen: Mindestens ein Ton muss klingen

## Was sich spielen lässt, aber zweifelhaft ist.

plan-too-fast = { $exercise }: verlangt { $rates }; über { $most } ist es kein Vibrato mehr
plan-waits = { $exercise }: läuft, bis angehalten wird, der Plan wartet also an dieser Stelle
plan-no-rest = ohne eine Pause von zehn Sekunden wird am Stück gespielt ({ $minutes }): ein "rest_s" dazwischen setzen

## Eine Notendatei, die keine Linie ergibt.

music-line = Zeile { $line }: { $text }
music-too-big = die Datei hat über 16 MiB: nur die eine Stimme speichern, die gespielt werden soll
music-entities = die Datei definiert eigene Entitäten, was kein Notenprogramm tut: aus einem neu speichern
music-broken = das XML ist hier beschädigt ({ $error }): die Datei aus dem Notenprogramm neu speichern
music-bar-by-bar = die Partitur ist taktweise geschrieben: stimmenweise speichern (score-partwise)
music-own-format = das ist die eigene Datei eines Notenprogramms: als unkomprimiertes MusicXML exportieren
music-other-xml = das ist XML, aber kein MusicXML: Es beginnt mit <{ $name }> statt mit <score-partwise>
music-archive-empty = im Archiv ist kein MusicXML: die Partitur aus dem Notenprogramm exportieren
music-archive-broken = die komprimierte Datei ist beschädigt: neu speichern, oder als unkomprimiertes MusicXML (.musicxml)
music-no-part = die Partitur hat keine Stimme: eine mit Noten exportieren
music-no-such-part = es gibt keine Stimme „{ $asked }“: Die Datei hat { $parts }
music-too-many-parts = die Partitur hat { $n } Stimmen, höchstens { $most } stehen zur Wahl: nur die eine exportieren, die gespielt werden soll
music-part = Stimme { $n }
music-and-next = { $first }, { $then }
music-no-notes = die Stimme hat keine Noten: eine andere wählen
music-too-many-notes = die Stimme hat { $n } Noten und Pausen, eine Linie bis zu { $most }: nur die Stelle speichern, die gespielt werden soll
music-long-note = in Takt { $bar } dauert ein Ton { $quarters } Viertel: höchstens { $most } in einem, zwei überbinden
music-lengths = die Längen in diesem Takt gehen nicht auf
music-no-number = <{ $name }> muss eine Zahl sein, ist aber "{ $is }"
music-no-duration = eine <duration> fehlt: die Datei neu speichern
music-duration-below = eine <duration> liegt unter 0
music-divisions = <divisions> muss über 0 liegen
music-step = <step> muss ein Buchstabe von A bis G sein
music-octave = <octave> muss von 0 bis 9 gehen
music-note-beyond = der Ton liegt außerhalb von C-1 bis G9
music-tempo-wrong = das Tempo "{ $is }" ist keine Zahl

## Was davon nicht verwendet oder angenommen wurde.

music-counted =
    { $what }: { $n } ({ $n_bars ->
        [one] Takt
       *[other] Takte
    } { $bars })
music-counted-and-more =
    { $what }: { $n } ({ $n_bars ->
        [one] Takt
       *[other] Takte
    } { $bars } und weitere)
music-other-parts = die anderen Stimmen: { $parts }
music-repeats = Wiederholungszeichen
music-endings = Klammern bei Wiederholungen
music-fermatas = Fermaten
music-chord-symbols = Akkordsymbole
music-figured-bass = Generalbassziffern
music-metre-changes = Taktwechsel
music-grace-notes = Vorschläge
music-cue-notes = Stichnoten
music-other-voices = Noten anderer Stimmen
music-lower-notes = tiefere Töne von Akkorden
music-overlapping = Noten, die beginnen, ehe die vorige zu Ende ist
music-no-pitch = Noten ohne Tonhöhe, als Pausen genommen
music-microtones = Bruchteile eines Halbtons, gerundet
music-lyrics = Liedtext
music-slurs = Bindebögen
music-signs = Zeichen wie { $sign }
music-tempo-no-number = Tempi, die keine Zahl sind
music-words-over = Worte über den Noten
music-jumps = Sprünge (da capo und andere)
music-ties-to-nowhere = Haltebögen, die zu keinem gleichen Ton führen
music-tempo-changes = Tempowechsel
music-rest-before = die Pause vor dem ersten Ton ({ $quarters } Viertel)
music-no-tempo = die Datei nennt kein Tempo: genommen wird { $bpm }
music-tempo-beyond = { $wrong }: genommen wird { $bpm }
music-metre = die Taktart { $beats }/{ $kind }: Ein Schlag ist hier ein Viertel, gezählt wird in { $whole }
music-beat = der Schlag von { $beats }/{ $kind }: gezählt wird in { $whole } Vierteln
music-values-chosen = über den Noten stehen keine Pulswerte: { $values } stehen jetzt über allen von zwei Schlägen und mehr
music-hairpins-assumed = Gabeln ohne Angabe am Ende führen zur nächsten Lautstärke

## Was in einem Plan steht, der aus einer Notendatei wird.

music-untitled = Eingelesene Linie
music-say = Zähl die Pulse erst mit, dann lass das Zählen los.
