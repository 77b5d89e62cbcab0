# Anmelden, Passphrasen, Einladungen und die Seite, wer was darf.

sign-in-title = Anmelden
sign-in-conductor = { $section }, Leitung
sign-in-passphrase = Passphrase
sign-in-forgotten = Vergessen? Auf dem Computer, auf dem Windrow läuft, in einem Terminal <code>windrow passphrase</code> eingeben. Wer bei der Leitung hilft, öffnet stattdessen den Link der Einladung.
sign-in-players = Spieler melden sich nicht an: Sie kommen über die Adresse herein, die bei der Leitung auf dem Bildschirm steht.
sign-in-wrong = Das ist nicht die Passphrase. Groß- und Kleinbuchstaben zählen, Leerzeichen auch.
sign-in-too-many =
    { $s ->
        [1] Von hier kamen zu viele falsche Passphrasen. Eine Sekunde warten, dann noch einmal versuchen.
       *[other] Von hier kamen zu viele falsche Passphrasen. { $s } Sekunden warten, dann noch einmal versuchen.
    }

## Ein Feld für eine Passphrase. $field ist die Beschriftung, die daneben steht.

secret-show = Zeigen
secret-hide = Verbergen
secret-show-field = Zeigen, { $field }
secret-hide-field = Verbergen, { $field }
secret-new = Neue Passphrase
secret-again = Noch einmal dieselbe

## Die erste Passphrase.

first-title = Eine Passphrase wählen
first-what-for = Sie öffnet die Seiten der Leitung, auf diesem Computer und auf anderen im Raum. Mindestens { $n } Zeichen; mehrere Wörter mit Leerzeichen sind gut und leichter zu tippen als Kunststücke. Am besten aufschreiben und dort aufheben, wo Spieler nicht hinsehen.
first-keep = Behalten und weiter
first-effect = Wer anderswo angemeldet ist, wird dadurch abgemeldet. Gespeichert wird ein Hash, aus dem niemand die Passphrase lesen kann: Ist sie verloren, setzt <code>windrow passphrase</code> eine andere.

## Warum eine Passphrase nicht geht.

unfit-too-short = Das sind { $n } Zeichen, nötig sind { $least }. Mehrere Wörter mit Leerzeichen sind gut.
unfit-too-long = Das sind { $n } Zeichen, höchstens { $most } werden angenommen.
unfit-guessed-first = Das ist mit das Erste, was jemand probieren würde. Besser ein paar Wörter, die nicht zusammengehören.
unfit-section = So heißt das Register, und das wissen alle. Besser ein paar Wörter, die nicht zusammengehören.
unfit-code = Darin steht der Code, und der hängt an der Wand. Besser etwas anderes.
unfit-differ = Die beiden sind nicht gleich. Beide noch einmal tippen.

## Die Einladung, bei der Leitung zu helfen.

invitation-title = Einladung
invitation-heading = Bei der Leitung helfen
invitation-what-for = Die Leitung lädt dich als Assistenz ein: Auf diesem Gerät kannst du die Probe leiten, den Raum prüfen und die Namensliste pflegen, bis die Leitung es beendet.
invitation-name = Dein Name, für die Leitung
invitation-go-in = Hinein
invitation-name-wrong = { $what }. Ein Vorname oder Spitzname genügt.

## Wer was darf.

access-title = Zugang
access-invitation-title = Eine Einladung für eine Assistenz
access-invitation-how = Mit der Kamera der Assistenz aufnehmen oder den Link schicken. Er gilt einmal und einen Tag lang; noch einmal wird er nicht gezeigt.
access-invitation-pattern = Muster für eine Kamera, mit dem Link darunter
access-invitation-link = Link
access-door-title = Code zum Hereinkommen
access-door-closed = Der Raum ist zu: Niemand Neues kommt herein.
access-door-timed-out = Der Raum hat sich von selbst geschlossen, weil so lange niemand verbunden war. Wird er geöffnet, bekommt er einen anderen Code.
access-door-open-used = Der Raum ist offen. Er schließt sich von selbst { $span } nach dem letzten Spieler.
access-door-open-empty = Der Raum ist offen. Er schließt sich von selbst in { $span }, wenn niemand hereinkommt.
access-players-open = Spieler öffnen <strong class="address">{ $url }</strong>
access-close = Raum schließen
access-more-time = Mehr Zeit
access-open = Raum öffnen
access-another-code = Anderer Code
access-door-help = Ein geschlossener Raum lässt niemand Neues herein; wer da ist, bleibt und kann mit demselben Gerät wiederkommen. Mit einem anderen Code gilt der alte für niemand Neues mehr.
access-lasts-label = Der Raum schließt sich von selbst, wenn niemand verbunden war, nach
access-lasts =
    { $min ->
        [15] 15 Minuten
        [30] 30 Minuten
        [60] 1 Stunde
       *[other] { $hours } Stunden
    }
access-lasts-keep = So behalten
access-assistants-title = Assistenz
access-assistants-what = Eine Assistenz darf auf einem eigenen Gerät die Probe leiten, den Raum prüfen und die Namensliste pflegen, aber auf dieser Seite nichts ändern und nichts löschen.
access-used-now = gerade hier
access-used-ago = vor { $span } hier
access-end = Beenden
access-end-for = Beenden für { $name }
access-invitation-waits = Eine Einladung wartet; sie endet in { $span }.
access-invite = Assistenz einladen
access-withdraw = Wartendes zurückziehen
access-signed-in-title = Angemeldet
access-signed-in-assistant = Angemeldet als { $name }, Assistenz.
access-signed-in =
    { $n ->
        [0] Angemeldet hier und sonst nirgends.
        [1] Angemeldet hier und in einem anderen Browser.
       *[other] Angemeldet hier und in { $n } anderen Browsern.
    }
access-sign-out = Hier abmelden
access-sign-out-everywhere = Überall abmelden
access-sign-in-ends = Eine Anmeldung endet von selbst 12 Stunden nach dem letzten Gebrauch, und wenn der Browser geschlossen wird.
access-everywhere-means = Überall heißt: auch Assistenzen und dieser Browser. Spieler bleiben.
access-passphrase-title = Passphrase ändern
access-passphrase-present = Bisherige Passphrase
access-passphrase-change = Ändern
access-passphrase-rule = Mindestens { $n } Zeichen; mehrere Wörter mit Leerzeichen sind gut. Alle anderen werden dadurch abgemeldet.
access-passphrase-wrong = Das ist nicht die bisherige Passphrase.

## Eine Zeitspanne. Mit Ziffern, damit sie in jedem Fall stimmt („in …“, „vor …“, „… nach“).

span-moment = weniger als 1 Minute
span-minutes =
    { $n ->
        [1] 1 Minute
       *[other] { $n } Minuten
    }
span-hours =
    { $n ->
        [1] 1 Stunde
       *[other] { $n } Stunden
    }
span-hours-minutes = { $hours } h { $min } min
