# Wer zum Register gehört: die Seite, was zu einer Änderung gesagt wird und was an einer Datei falsch ist.

roster-title = Liste
roster-n-in = { $n } von { $expected } sind da
roster-undo = Rückgängig
roster-list-title = Die Liste, nach Plätzen
roster-name-of = Name, Platz { $chair }
roster-instrument-of = Instrument von { $name }
roster-part-of = Stimme von { $name }
roster-is-in = ist da
roster-save = Sichern
roster-save-of = Sichern: { $name }
roster-up = Hoch
roster-up-of = Hoch: { $name }, einen Platz nach vorn
roster-down = Runter
roster-down-of = Runter: { $name }, einen Platz nach hinten
roster-off = Streichen
roster-off-of = Streichen: { $name } von der Liste
roster-more = Mehr <span class="spoken">über { $name }</span>
roster-more-new-device = <strong>Neues Gerät</strong>, mehr <span class="spoken">über { $name }</span>
roster-sessions =
    { $n ->
        [1] 1 Probe
       *[other] { $n } Proben
    }
roster-devices =
    { $n ->
        [1] 1 Gerät
       *[other] { $n } Geräte
    }
roster-recorded = { $sessions } aufgezeichnet, { $devices }.
roster-recorded-unconfirmed = { $sessions } aufgezeichnet, { $devices }, davon { $n } nicht bestätigt: Bis dahin zeigt es { $name } nur, was es selbst aufgezeichnet hat.
roster-all-theirs = Gehören alle dazu
roster-all-theirs-of = Gehören alle dazu: die Geräte von { $name }
roster-forget = Geräte vergessen
roster-forget-of = Geräte vergessen: die von { $name }
roster-erase = Alles Gespeicherte löschen
roster-erase-of = Alles Gespeicherte löschen: das über { $name }
roster-new-name = Name von jemand Neuem
roster-new-name-hint = Name oder Spitzname
roster-new-instrument = Instrument von jemand Neuem
roster-new-instrument-hint = Instrument
roster-new-part = Stimme von jemand Neuem
roster-new-part-hint = Stimme
roster-add = Hinzufügen
roster-guests-title = Im Raum, aber nicht in der Liste
roster-guest-away = { $part }, nicht da
roster-adopt = In die Liste aufnehmen
roster-adopt-of = In die Liste aufnehmen: { $name }
roster-who-is = Wer { $name } ist
roster-is-this = Ist diese Person
roster-is-this-of = Ist diese Person: { $name }
roster-send-out = Aus dem Raum schicken
roster-send-out-of = Aus dem Raum schicken: { $name }
roster-removed-title = Von der Liste gestrichen
roster-put-back = Zurückholen
roster-put-back-of = Zurückholen: { $name }
roster-merge-title = Ein Spieler, zweimal in der Liste
roster-merge-this = Dieser Eintrag
roster-merge-off = { $name } (gestrichen)
roster-merge-is = ist in Wahrheit
roster-merge = Zusammenlegen
roster-merge-help = Aufzeichnungen und Geräte von beiden kommen unter dem zweiten Namen zusammen. Das lässt sich nicht rückgängig machen.
roster-file-title = Eine Datei hereinholen oder mitnehmen
roster-file = Eine Tabelle aus einem Tabellenprogramm, gesichert als CSV (UTF-8)
roster-file-lines = oder ihre Zeilen, eingefügt
roster-file-header = Name;Instrument;Stimme
roster-file-help = Die erste Zeile nennt die Spalten: Name und Instrument; auf Wunsch Register, Platz und Stimme. Erst wird gezeigt, was sich ändern würde; ein Name, der schon da ist, wird auf den neuen Stand gebracht.
roster-file-look = Erst ansehen
roster-file-all = Alle Register als CSV-Datei
roster-sections-title = Register
roster-section-choose = Das Register im Raum; ein neuer Name macht ein neues
roster-section-bring = In den Raum holen
roster-section-n = { $n } in der Liste
roster-section-line = { $name }, { $n } in der Liste
roster-section-line-here = { $name }, { $n } in der Liste; im Raum
roster-keep-title = Wie lange Aufzeichnungen bleiben
roster-keep-is = Proben werden { $days } Tage nach ihrem Beginn gelöscht.
roster-keep-is-option = Proben werden { $days } Tage nach ihrem Beginn gelöscht, wie die Befehlszeile sagt.
roster-keep-days = Tage, nach denen eine Probe gelöscht wird
roster-keep = So lange behalten
roster-keep-help = Klang wird nie gespeichert; Namen, Plätze, Pulse und Ergebnisse schon. Spieler sehen auf ihrer eigenen Seite unter „Was über mich gespeichert ist“, was das ist, und können es löschen.

## Eine gewählte Datei, wie die Seite sie vorfindet.

roster-file-too-large = Die Datei hat { $kb } kB; höchstens { $most } werden angenommen. Ist es eine Liste von Spielern?
roster-file-not-utf8 = Diese Datei ist nicht in UTF-8. Im Tabellenprogramm als „CSV UTF-8“ sichern und noch einmal wählen.
roster-file-chosen = { $name } steht im Feld darunter. Erst ansehen; noch ist nichts geändert.

## Bevor alles über eine Person gelöscht wird.

roster-erase-title = Löschen
roster-erase-heading = Alles über { $name } löschen?
roster-erase-what = Der Platz in der Liste, die Geräte und alles, was aufgezeichnet ist ({ $sessions }): Es ist endgültig aus der Datei verschwunden und lässt sich nicht zurückholen. Sollen die Aufzeichnungen bleiben und nur die Liste kürzer werden: { $name } stattdessen von der Liste streichen.
roster-erase-sure = Endgültig löschen
roster-erase-not = Alles behalten

## Was eine Datei ändern würde.

import-title = Hereinholen
import-lines =
    { $n ->
        [1] 1 Zeile lässt sich hereinholen
       *[other] { $n } Zeilen lassen sich hereinholen
    }
import-lines-but =
    { $n ->
        [1] 1 Zeile lässt sich hereinholen, { $wrong } nicht
       *[other] { $n } Zeilen lassen sich hereinholen, { $wrong } nicht
    }
import-counts = { $new } neu, { $known } schon da und auf den neuen Stand gebracht. Noch ist nichts geändert.
import-errors-title = Was nicht stimmt
import-errors-help = Diese Zeilen in der Datei berichtigen und sie noch einmal hereinholen, oder jetzt die anderen nehmen.
import-ignored = Nicht gebraucht: { $columns }. Gelesen werden nur Register, Platz, Name, Instrument und Stimme.
import-quoted = „{ $text }“
import-do = { $n } hereinholen
import-not = Nichts ändern
import-table = Zeilen, die sich hereinholen lassen
import-line = Zeile
import-section = Register
import-chair = Platz
import-name = Name
import-instrument = Instrument
import-part = Stimme
import-is = ist
import-is-there = da
import-is-new = neu

## Was getan wurde.

roster-did-add = { $name } steht jetzt in der Liste.
roster-did-edit = { $name } ist geändert.
roster-did-move = { $name } hat jetzt Platz { $chair }.
roster-did-remove = { $name } ist von der Liste gestrichen. Die Aufzeichnungen bleiben, bis sie gelöscht werden.
roster-did-restore = { $name } steht wieder in der Liste.
roster-did-merge = { $one } und { $other } sind jetzt eins: { $other }.
roster-did-seat = Dieser Spieler ist jetzt { $name }.
roster-did-send-out = { $name } wurde hinausgeschickt. Wer den Code hat, kann wieder herein: Unter „Zugang“ kannst du einen anderen geben oder niemanden mehr hereinlassen.
roster-did-confirm = Die Geräte von { $name } sind bestätigt.
roster-did-forget = Kein Gerät ist mehr { $name }; wer als Nächstes kommt, tippt den Namen noch einmal an.
roster-did-choose = { $section } ist jetzt im Raum.
roster-did-keep = Proben werden nach { $days } Tagen gelöscht, ab dem nächsten Start oder ab Mitternacht.
roster-did-import = { $new } neu, { $known } auf den neuen Stand gebracht.
roster-did-erase = Alles, was über { $name } gespeichert war, ist gelöscht.

## Warum etwas nicht ging. Ein Satz ohne seinen Punkt.

roster-cannot-not-here = diese Person ist nicht mehr hier
roster-cannot-not-in-this-list = diese Person steht nicht mehr in dieser Liste
roster-cannot-too-many = ein Register hat höchstens { $most } Leute
roster-cannot-not-in-list = { $name } steht nicht in der Liste
roster-cannot-first = { $name } hat schon den ersten Platz
roster-cannot-last = { $name } hat schon den letzten Platz
roster-cannot-merge-itself = zwei verschiedene Personen wählen
roster-cannot-left = dieser Spieler ist nicht mehr im Raum
roster-cannot-keep-range = es müssen { $least } bis { $most } Tage sein, nicht { $days }
roster-cannot-keep-option = wie lange Proben bleiben, sagt die Befehlszeile (--keep-days)
roster-cannot-write = die Aufzeichnungen lassen sich gerade nicht schreiben: Ist die Platte voll? Geändert wurde nichts
roster-cannot-room-full = { $section } hätte { $n } Leute, aber höchstens { $most } passen in einen Raum
roster-cannot-removed-before = { $name } wurde schon einmal von dieser Liste gestrichen: unten zurückholen oder einen anderen Namen nehmen
roster-cannot-there-already = { $name } steht schon in dieser Liste: die beiden durch einen Buchstaben unterscheiden
roster-cannot-no-number = „{ $text }“ ist keine Anzahl von Tagen
roster-cannot-unknown = die Seite wollte etwas, das hier nicht bekannt ist: neu laden
roster-failed-store = die Aufzeichnungen lassen sich gerade nicht lesen oder schreiben; geändert wurde nichts
roster-failed-ended = die Probe schließt gerade

## Was an einem Namen, einem Instrument, einer Stimme, einem Platz oder an einer ganzen Datei falsch ist.

name-empty = der Name ist leer: mindestens einen Buchstaben tippen
name-too-long = der Name hat { $n } Buchstaben: höchstens { $most } gehen
instrument-missing = das Instrument fehlt; möglich sind { $all }
instrument-unknown = das Instrument „{ $text }“ gibt es hier nicht; möglich sind { $all }
part-too-long = die Stimme hat { $n } Buchstaben: höchstens { $most } gehen
chair-no-number = der Platz muss eine Zahl von 1 bis 9999 oder leer sein, nicht „{ $text }“
sheet-too-large = die Datei hat { $kb } kB, aber höchstens { $most } werden angenommen: Ist es eine Liste von Spielern?
sheet-not-utf8 = Zeile { $line }: Das ist nicht UTF-8; die Datei im Tabellenprogramm als „CSV UTF-8“ sichern und noch einmal versuchen
sheet-header-unreadable = Zeile 1: Die Überschriften lassen sich nicht lesen ({ $why })
sheet-header = Zeile 1: Die Überschriften müssen „Name“ und „Instrument“ nennen und können Register, Platz und Stimme nennen; sie nennen „{ $says }“
sheet-unreadable = die Datei lässt sich nicht lesen ({ $why })
sheet-too-many-lines = die Datei hat mehr als { $most } Zeilen: teilen
sheet-twice = Zeile { $line }: { $name } steht schon in { $section }, in Zeile { $first }; die beiden durch einen Buchstaben unterscheiden
sheet-line = Zeile { $line }: { $what }
sheet-section = Register: { $what }
sheet-too-many = { $section } hat { $n } Leute, aber höchstens { $most } passen in einen Raum: teilen
