# Die Seite der Pläne, was aus einer geholten Datei wird, und was mit einem Plan nicht geht.

plans-page-title = Pläne, { $section } · Windrow
plans-head = Pläne
plans-what = Was { $section } übt, und in welcher Reihenfolge
plans-own = Eigene Pläne
plans-new = Neuer Plan
plans-new-title = Mein Plan
plans-built-in = Pläne, die Windrow mitbringt
plans-file = Eine Datei holen
plans-file-choose = Ein Plan (.json) oder lange Töne aus einem Notenprogramm (MusicXML)
plans-file-text = oder ihr Text, hier eingefügt
plans-file-part = Welche Stimme einer Partitur, nach Name oder Nummer; leer heißt die erste
plans-file-what = Ein Plan, in dem etwas nicht stimmt, wird nicht geholt; jede Stelle wird genannt. Aus MusicXML werden die Noten einer Stimme genommen, mit Längen, Pausen, Haltebögen und Dynamik; was wegbleibt, wird genannt. Für Programme: das <a href="/plan-schema.json">Schema der Plandateien</a>.
plans-file-bring = Holen
plans-is-here = Der Plan ist jetzt hier, unter dem Kurznamen { $name }.
plans-is-deleted = „{ $title }“ ist gelöscht.
plans-is-saved = Der Plan ist gespeichert.
plans-not-brought-in = Das ließ sich nicht holen; nichts wurde geändert.
plans-file-not-brought-in = „{ $file }“ ließ sich nicht holen; nichts wurde geändert.
plans-failed = Das ging nicht
plans-none-head = Diesen Plan gibt es nicht
plans-none = Es gibt keinen Plan dieses Namens. Alle Pläne stehen unter /conduct/plans.

## Ein Plan der Liste.

plan-row-in-room = im Raum
plan-row-as-it-was = im Raum so, wie er war, ehe er hier geändert wurde; noch einmal verwenden bringt ihn auf den neuen Stand
plan-row-holds =
    { $n ->
        [one] { $n } Übung, mit Pausen { $minutes }
       *[other] { $n } Übungen, mit Pausen { $minutes }
    }
plan-row-holds-spoken = : was { $title } enthält
plan-row-unreadable = Dieses Windrow kann ihn nicht lesen:
plan-row-use = Verwenden
plan-row-use-spoken = Verwenden: { $title }
plan-row-copy = Kopieren
plan-row-copy-spoken = Kopieren: { $title }
plan-row-copy-edit = Kopieren und ändern
plan-row-copy-edit-spoken = Kopieren und ändern: { $title }
plan-row-edit = Ändern
plan-row-edit-spoken = Ändern: { $title }
plan-row-sheet = Blatt
plan-row-sheet-spoken = Blatt fürs Pult: { $title }
plan-row-download = Herunterladen
plan-row-download-spoken = Herunterladen: { $title }
plan-row-delete = Löschen
plan-row-delete-spoken = Löschen: { $title }

## Ehe ein Plan gelöscht wird.

plan-delete-page-title = Einen Plan löschen · Windrow
plan-delete-head = „{ $title }“ löschen?
plan-delete-for-good = Er lässt sich nicht zurückholen.
plan-delete-download = Zuerst herunterladen,
plan-delete-keep-copy = um eine Kopie zu behalten.
plan-delete-in-room = Der Raum spielt weiter aus ihm, so wie er ist, bis ein anderer Plan verwendet wird.
plan-delete-sure = Endgültig löschen
plan-delete-keep = Behalten

## Nachdem eine Notendatei geholt wurde.

plan-imported-page-title = Geholt · Windrow
plan-imported-head = „{ $title }“ ist jetzt ein Plan
plan-imported-has =
    { $n ->
        [one] Er hat eine Übung mit { $n } Note oder Pause. Pulswerte und Tempo durchsehen, ehe er verwendet wird.
       *[other] Er hat eine Übung mit { $n } Noten und Pausen. Pulswerte und Tempo durchsehen, ehe er verwendet wird.
    }
plan-imported-all = Nichts in der Datei blieb weg.
plan-imported-left-out = Weggelassen oder angenommen
plan-imported-edit = Den Plan ändern
plan-all = Alle Pläne

## Was nicht geht; ein Punkt folgt.

shelf-bad = das ist kein guter Plan
shelf-changed = dieser Plan wurde von einer anderen Seite aus geändert, nachdem er hier geöffnet war; von beiden geht nichts verloren
shelf-gone = diesen Plan gibt es nicht mehr
shelf-records = die Aufzeichnungen lassen sich gerade nicht lesen oder schreiben; nichts wurde geändert
shelf-closing = die Probe schließt gerade
shelf-too-many = es gibt zu viele Pläne namens { $name }: erst einige löschen
shelf-other-name = der Plan heißt { $name }, seine Adresse aber { $address }: beides gleich machen
shelf-built-in = { $title } kam mit Windrow: kopieren, dann die Kopie ändern
shelf-copy-ending = {", meine Kopie"}
