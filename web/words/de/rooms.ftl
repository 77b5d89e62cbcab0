# Die Seite der Räume eines Servers, und was gesagt wird, wo der Raum nicht bekannt ist.

rooms-title = Räume
rooms-what = Mehrere Register können gleichzeitig proben, jedes in einem eigenen Raum: mit seinen Spielenden, seinem Code, seinem Tempo, seinen Ergebnissen. Wer hier angemeldet ist, kann jeden davon leiten.
rooms-open-now = Jetzt offen
rooms-here = Dieser Browser leitet ihn
rooms-lead = Diesen Raum leiten
rooms-lead-of = Den Raum von { $section } leiten
rooms-code = Code { $code }
rooms-door-closed = für Neue geschlossen
rooms-players =
    { $n ->
        [0] niemand ist da
        [one] eine Person ist da
       *[other] { $n } Spielende sind da
    }
rooms-close = Diesen Raum schließen
rooms-close-of = Den Raum von { $section } schließen
rooms-close-sure = Wer da ist, wird hinausgeschickt, und der Code gilt nicht mehr. Was gespielt wurde, bleibt gespeichert.
rooms-close-yes = Ja, den Raum von { $section } schließen
rooms-another = Einen weiteren Raum öffnen
rooms-another-section = Register oder Ensemble
rooms-another-help = Ein Name mit einer Liste bringt seine Liste mit; ein anderer Name beginnt eine leere.
rooms-another-open = Den Raum öffnen
rooms-link = Ein weiteres Register probt gleichzeitig
rooms-onward = Einen Raum wählen
rooms-which = Es gibt mehrere Räume: den wählen, der geleitet wird, dann noch einmal versuchen.
rooms-closed = Dieser Raum ist geschlossen. Bitte einen anderen wählen.
rooms-name-wrong = Der Name des Registers { $what }.
rooms-is-open = { $section } hat schon einen Raum: bitte diesen leiten.
rooms-full = Es gibt { $most } Räume, mehr sind nicht möglich. Bitte zuerst einen schließen.
rooms-last = Das ist der einzige Raum. Er schließt, wenn Windrow beendet wird; seine Tür lässt sich unter „Zugang“ schließen.
