# Was ein Raum sagt: warum ein Befehl nicht geht, was zu wissen und zu entscheiden ist, warum ein Gerät abgewiesen wird, was die
# Raumprobe rät, was als Nächstes kommen könnte und warum.

cannot-start-playing = die Musik läuft schon: erst anhalten oder „Noch einmal“ wählen
cannot-stop-at-end = diese Übung läuft, bis sie angehalten wird: jetzt oder am Taktstrich anhalten
cannot-go-on-nothing = es wurde nichts mittendrin angehalten: „Los“ wählen
cannot-go-on-already = die Musik läuft schon weiter
cannot-hold-nothing = es gibt nichts festzuhalten: erst „Los“ drücken
cannot-hold-endless = das läuft ohnehin, bis es angehalten wird
cannot-turn-at-end = diese Übung läuft, bis sie angehalten wird: den nächsten Takt wählen
cannot-ending = die Musik endet gerade: „Los“ wählen
cannot-too-many-changes = diese Übung wurde zu oft geändert: mit „Noch einmal“ neu beginnen
cannot-take-plan-playing = die Musik läuft: erst anhalten, dann den Plan wählen
cannot-step-back-no-ladder = diese Übung ist keine Leiter: „Noch einmal“ oder „Langsamer“ wählen
cannot-step-back-first = das ist die erste Sprosse: „Noch einmal“ oder „Langsamer“ wählen
cannot-check-playing = die Musik läuft: erst anhalten, dann den Raum prüfen
cannot-check-running = die Raumprobe läuft: abwarten oder anhalten
cannot-check-nobody = noch ist niemand da: Der Raum lässt sich prüfen, wenn Spieler beigetreten sind
notice-check-stopped = Die Raumprobe wurde angehalten, weil sich Plätze geändert haben: neu beginnen.
cannot-answer-settled = das ist schon entschieden
cannot-answer-choose = auswählen, welches der beiden Geräte das richtige ist
care-breath = Atempulse können schwindlig machen: Wem so wird, der hört auf, setzt sich und atmet wie gewohnt.
care-loud = Zwanzig Minuten der letzten halben Stunde waren laut: etwas Leises spielen oder den Ohren eine Pause geben.
refused-replaced = du bist auf einer anderen Seite oder einem anderen Gerät wieder beigetreten: Dieses hier hört nicht mehr zu
refused-already-in = die Leitung sagt, dass dieser Spieler schon da ist: Wähle deinen eigenen Namen oder schreib einen Spitznamen
refused-sent-out = die Leitung hat dieses Gerät aus dem Raum geschickt: Frag, bevor du wieder hereinkommst
refused-given-away = die Leitung hat diesen Namen einem anderen Gerät gegeben: Wähle deinen eigenen Namen oder schreib einen Spitznamen
notice-two-devices = Zwei Geräte sagen, sie seien { $name }.
notice-two-devices-unknown = Zwei Geräte sagen, sie seien derselbe Spieler.
notice-claimed = Noch ein Gerät sagt, es gehöre { $name }. Die Leitung entscheidet.
cannot-last-exercise = das ist die letzte Übung
cannot-first-exercise = das ist die erste Übung
cannot-count-in = vorgezählt werden 0, 1 oder 2 Takte, nicht { $bars }
cannot-take-plan-empty = der Plan „{ $title }“ hat keine Übung: erst eine hinzufügen
cannot-choose = es gibt keine Übung { $exercise }: eine von 1 bis { $n } wählen
cannot-check-chair = auf Platz { $chair } ist niemand da: Plätze von Spielern wählen, die da sind
cannot-note-low = { $note } ist zu tief für Platz { $chair } ({ $instrument }): einen Ton wählen, der von { $low } bis { $high } klingt
cannot-note-high = { $note } ist zu hoch für Platz { $chair } ({ $instrument }): einen Ton wählen, der von { $low } bis { $high } klingt
care-rest = { $minutes } Minuten wurde ohne Pause gespielt: alle zwei Minuten ruhen lassen.
refused-name-taken = { $name } ist schon von einem anderen Gerät aus da. Bist du das auch?
refused-name-taken-unknown = dieser Spieler ist schon von einem anderen Gerät aus da. Bist du das auch?
refused-full = alle { $n } Plätze dieser Probe sind besetzt: Bitte die Leitung, einen weiteren Raum zu öffnen
refused-many-questions = bei der Leitung warten schon viele solche Fragen: Wähle deinen eigenen Namen oder schreib einen Spitznamen
notice-conductor-is-asked = { $name } ist schon von einem anderen Gerät aus da, deshalb wird die Leitung gefragt. Einen Moment.
notice-numbered = „{ $typed }“ ist hier vergeben, deshalb heißt du „{ $name }“.
cannot-seat-person = diese Person steht nicht mehr in der Liste des Registers
cannot-seat-player = dieser Spieler ist nicht mehr im Raum
cannot-seat-in-already = { $name } ist von einem anderen Gerät aus da: erst klären, welches der beiden das richtige ist
cannot-slower = unter { $bpm } gibt es keine Metronomstufe
cannot-faster = über { $bpm } gibt es keine Metronomstufe
advice-swapped = { $a } und { $b } hören einander lauter als sich selbst: Haben sie die Geräte vertauscht?
advice-pair = { $a } und { $b }
advice-apart = Diese Pulte auseinanderrücken oder die Mikrofone anstecken: { $pairs }.
advice-apart-and-others = Diese Pulte und weitere (unten) auseinanderrücken oder die Mikrofone anstecken: { $pairs }.
advice-no-microphone = { $chair }: Das Gerät darf noch nicht zuhören; { $name } bitten, das Mikrofon zu erlauben.
advice-not-heard = { $chair }: Andere hören { $name }, das eigene Gerät nicht; ist sein Mikrofon verdeckt oder ein Headset verbunden?
advice-turns-level = { $chair }: Das Gerät von { $name } regelt seinen Pegel selbst, deshalb wirken die Nachbarn näher, als sie sind; siehe dessen Mikrofonprobe.
advice-loud-silence = { $chair }: Die Stille war so laut wie { $name } beim Spielen; nach dem Vorzählen still sein und noch einmal prüfen.
advice-silent = { $chair }: Von { $name } war nichts zu hören; diesen Platz noch einmal prüfen.
advice-noisy = { $chair }: Der Raum ist fast so laut wie { $name }; das Gerät näher rücken oder abwarten, bis es still ist.
advice-all-clear = Jedes geprüfte Gerät hört seinen eigenen Spieler gut.
refused-malformed = eine Nachricht war nicht zu verstehen ({ $why }): Lade die Seite neu
refused-closing = der Server der Probe schließt: Danke fürs Mitspielen
refused-binary = Nachrichten müssen Text sein, diese ist binär
refused-too-long = eine Nachricht ist länger als { $n } Byte: Lade die Seite neu
refused-version = diese Seite und der Server sind verschieden alt: Lade die Seite neu
refused-batch = eine Sendung hat { $n } Pulse, höchstens { $most } werden genommen: Lade die Seite neu
refused-second-hello = eine zweite Anmeldung kam: Lade die Seite neu
refused-no-hello = von dieser Seite kam nichts rechtzeitig an: Lade sie neu
refused-first-hello = die erste Nachricht muss eine Anmeldung sein: Lade die Seite neu
refused-signed-out = hier ist niemand angemeldet: die Seite neu laden und anmelden
refused-conductors = diese Seite gehört der Leitung: neu öffnen und anmelden, wenn danach gefragt wird
refused-code = keine Probe hat den Code { $code }: Vergleiche ihn mit dem auf dem Bildschirm der Leitung
refused-code-earlier = der Code hat sich geändert: Gib den ein, der jetzt auf dem Bildschirm der Leitung steht
refused-room-closed = der Raum ist vorerst geschlossen: Frag die Leitung
refused-too-many =
    von hier kamen zu viele falsche Codes: Warte { $seconds ->
        [one] eine Sekunde
       *[other] { $seconds } Sekunden
    } und versuch es noch einmal
refused-too-fast = Nachrichten kommen schneller, als ein Gerät sie je senden muss: Lade die Seite neu
notice-erased = { $name } hat gelöscht, was über { $name } gespeichert war.
notice-erased-unknown = Ein Spieler hat gelöscht, was über ihn gespeichert war.
refused-erased = Was über dich gespeichert war, ist gelöscht.
reason-played = { $minutes } Minuten wurde ohne Pause gespielt
reason-loud = { $minutes } Minuten der letzten halben Stunde waren laut
reason-too-short = { $who } zu kurz zu hören, um mehr zu sagen
reason-not-heard = { $who } nicht zu hören
reason-matched = { $who } beisammen
reason-were = { $who }: { $state }
reason-twice = { $reason }, zweimal nacheinander
reason-most-of-the-time = { $reason }, die meiste Zeit
reason-fast-and-slow = { $fast } schnell, { $slow } langsam
reason-was = { $name }: { $state }
reason-both = { $a }, { $b }
reason-blended = { $who } waren von den Nachbarn nicht zu unterscheiden
reason-blended-on-one-note = { $who } waren auf einem gemeinsamen Ton von den Nachbarn nicht zu unterscheiden
suggest-rest = Erst zwei Minuten Pause.
suggest-longer = Noch einmal, und etwas länger.
suggest-microphones = Nach den Mikrofonen sehen, dann noch einmal.
suggest-closer = Die Geräte näher zu den Spielern rücken, dann noch einmal.
suggest-spread = Die Töne auf einen Akkord verteilen.
suggest-down-the-line = Einen nach dem anderen hören.
suggest-step-back = Eine Sprosse zurück.
suggest-slower = Langsamer: { $bpm }.
suggest-to-be-sure = Noch einmal, um sicher zu sein.
suggest-next = Weiter zu „{ $next }“.
suggest-speak-to = Mit { $names } sprechen, dann noch einmal.
suggest-again = Noch einmal.
suggest-again-bigger = Noch einmal, mit größeren Pulsen.
suggest-again-valleys = Noch einmal, mit etwas Luft in den Tälern.
suggest-again-still-jaws = Noch einmal, mit ruhigem Kiefer: Die Luft macht den Puls.
suggest-again-one-puff = Noch einmal: ein Luftstoß auf jeden Schlag.
suggest-again-steadily = Noch einmal, so gleichmäßig wie möglich.
suggest-again-hear-the-tick = Noch einmal: erst den Schlag hören, dann darauf zu anschwellen.
suggest-tune-first = Einen geraden Ton stimmen, dann noch einmal.
were-the-one = der eine, der zu hören war,
were-not-the-one = der eine, der zu hören war, nicht
were-all = { $all }
were-none = keiner von { $total }
were-one = einer von { $total }
were-some = { $n } von { $total }
some-of = { $n } von { $total }
everybody-both = beide
everybody-all = alle { $n }
number =
    { $n ->
        [0] keiner
        [1] eins
        [2] zwei
        [3] drei
        [4] vier
        [5] fünf
        [6] sechs
        [7] sieben
        [8] acht
        [9] neun
        [10] zehn
        [11] elf
        [12] zwölf
       *[other] { $n }
    }
cannot-merge-both-in = beide sind gerade da, von zwei Geräten aus: erst eines den Raum verlassen lassen
notice-imaginary-left = Das erdachte Register ist gegangen, weil ein Spieler gekommen ist.
cannot-lend-gone = das erdachte Register ist gegangen: noch einmal kommen lassen
