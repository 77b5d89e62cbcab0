# Hereinkommen, Schritt für Schritt: der Code, dann wer es ist.

join-title = In den Raum
join-code = Der Code an der Wand
join-code-help = Sechs Zeichen. Ob groß oder klein, ist egal.
join-go-in = Hinein
join-not-here = Mein Name fehlt hier
join-name = Dein Name oder ein Spitzname
join-name-help = Irgendein Name genügt: Nach dem echten wird nie gefragt.
join-instrument = Dein Instrument
join-instrument-choose = wählen
join-to-names = Zurück zu den Namen
join-sends = Gleich fragt dein Gerät, ob es zuhören darf. Es schickt, was es gemessen hat, nie den Klang: Der verlässt dein Gerät nicht.
join-listen = Zuhören und hinein
join-listening = Kommt hinein
join-not-me = Das bin ich nicht
join-move-here = Hierher umziehen
join-somebody-else = Ich bin jemand anderes
join-my-data = Was über mich gespeichert ist
join-no-script = Diese Seite braucht JavaScript, um den Schlag zu halten und zuzuhören. Schalte es ein und lade die Seite neu.

join-welcome-back = Schön, dass du da bist, { $name }
join-who = Wer bist du?
join-is-that-you = Bist du das?
join-moment = Einen Moment
join-that-is-me = das bin ich
join-is-in = ist da

## Was nicht stimmt.

join-wrong-code = Der Code hat { $signs } Zeichen; hier sind es { $n }. Er steht auf der Seite der Leitung.
join-wrong-name = Tipp einen Namen, oder wie die anderen dich nennen.
join-wrong-instrument = Wähle dein Instrument, damit deine Noten richtig dastehen.
join-tap-first = Tipp erst deinen Namen an, oder „Mein Name fehlt hier“.
join-unreachable = Der Raum ist nicht zu erreichen. Ist dieses Gerät im WLAN des Raums? Dann versuch es noch einmal.
join-no-names = die Namen waren nicht zu bekommen
