# Wie es um einen Spieler steht: das Wort, worauf es beruht, der Satz für ihn und was die Leitung sagen kann. Freundlich,
# genau, eine Handlung, von der Luft und nie vom Kiefer.

state-matched = passt
state-slow = langsam
state-fast = schnell
state-early = früh
state-late = spät
state-uneven = ungleich
state-sharp = zu hoch
state-flat = zu tief
state-drifting-sharp = steigt
state-drifting-flat = sinkt
state-pitch-led = Tonhöhe pulst
state-shallow = flach
state-choked-valleys = Täler verstummen
state-straight = gerade
state-resting = Pause
state-not-heard = nicht gehört
state-blended = vermischt
state-away = nicht da

## Worauf es beruht, in wenigen Worten. $cents bringt sein Vorzeichen mit.

evidence-to-the-beat = { $n } auf den Schlag
evidence-rate = { $n } Pulse je Sekunde
evidence-early = { $ms } ms zu früh
evidence-late = { $ms } ms zu spät
evidence-cents = { $cents } Cent
evidence-rising = { $cents } Cent, steigend
evidence-falling = { $cents } Cent, fallend
evidence-depth = Tiefe { $db } dB
evidence-breaks = der Ton reißt in den Tälern ab
evidence-breaks-in = der Ton reißt { $n } von { $of } Mal ab
evidence-swing = Tonhöhe schwankt um { $cents } Cent
evidence-pulses-in-straight = Pulse von { $db } dB
evidence-uneven = Abstände schwanken um { $percent } %
evidence-straight = kein Puls zu hören
evidence-blended = andere sind ebenso laut
evidence-microphone-refused = Mikrofon nicht erlaubt
evidence-microphone-missing = kein Mikrofon
evidence-microphone-insecure = Seite ohne https
evidence-microphone-lost = Mikrofon weggenommen

## Für den Spieler.

player-waiting = Hör auf die Pulse der anderen: Du kommst noch dran.
player-resting-all = Pause: Atme ruhig weiter und setz mit dem Schlag wieder ein.
player-check-turn = Du bist dran: Halte einen bequemen Ton, gerade, bis der Takt um ist.
player-check-wait = Raumprobe: Jeder spielt einen Takt allein. Sei still, bis du dran bist.
player-matched = Du bist mit den anderen zusammen: Luft genau so.
player-matched-straight = Ein ruhiger, gleichmäßiger Ton: Halte ihn so.
player-slow = Die Pulse etwas eher: kleine Luftstöße.
player-fast = Warte auf den Schlag, dann erst der nächste Puls.
player-early = Hör zuerst den Schlag, dann lass die Luft anschwellen.
player-late = Schwell etwas eher an: Die Spitze gehört auf den Schlag.
player-other-note = Das ist ein anderer Ton als deiner: Spiel den, der hier steht.
player-sharp = Ein wenig zu hoch: warme, langsame Luft, dann sinkt er.
player-flat = Ein wenig zu tief: Lass die Luft weiterströmen.
player-drifting-sharp = Der Ton steigt: Lass den Mund, bewege nur die Luft.
player-drifting-flat = Der Ton sinkt: Luft auch durch jedes Tal.
player-shallow = Der Puls ist da: Mach ihn größer, ein volles „hu“.
player-choked-valleys = Lass etwas Luft in den Tälern: leise, nicht stumm.
player-pitch-led = Kiefer und Lippen still: Die Luft macht den Puls.
player-uneven = Ein Schlag, ein Anschwellen: weniger, aber stetig.
player-uneven-straight = Dieser Ton ist gerade: Lass die Luft strömen, ohne Pulse.
player-straight = Ein klarer Ton: Jetzt ein Luftstoß auf jeden Schlag.
player-resting = Nimm dir Zeit: Atme ruhig und komm wieder, wann du magst.
player-not-heard = Spiel, wenn der Schlag kommt: Das Gerät hört zu.
player-microphone-refused = Folge dem Schlag: Du wirst nicht gemessen, weil das Mikrofon nicht erlaubt ist. Du kannst es jederzeit erlauben.
player-microphone-missing = Folge dem Schlag: Du wirst nicht gemessen, weil dieses Gerät kein Mikrofon hat.
player-microphone-insecure = Folge dem Schlag: Du wirst nicht gemessen, weil diese Seite nicht über https kam.
player-microphone-lost = Folge dem Schlag: Du wirst nicht gemessen, solange ein anderes Programm das Mikrofon hat.
player-blended = Andere sind hier so laut: Rück das Gerät näher zu dir.

## Was die Leitung sagen kann. $name ist einer oder sind mehrere: „Wren und Tobias“.

say-everyone = Alle
say-slow = { $name }, etwas eher: { $count }.
say-fast = { $name }, auf den Schlag warten: { $count }.
say-early = { $name }, erst den Schlag hören, dann anschwellen.
say-late = { $name }, eher anschwellen: Die Spitze gehört auf den Schlag.
say-other-note = { $name }, das ist ein anderer Ton: noch einmal in die Noten schauen.
say-sharp = { $name }, den Ton herunterkommen lassen: warme, langsame Luft.
say-flat = { $name }, mehr Luft unter den Ton.
say-drifting-sharp = { $name }, der Ton steigt: nur die Luft bewegen.
say-drifting-flat = { $name }, der Ton sinkt: Luft durch die Täler strömen lassen.
say-shallow = { $name }, er ist da: den Puls größer machen.
say-choked-valleys = { $name }, in den Tälern etwas Luft lassen.
say-pitch-led = { $name }, Kiefer still: Die Luft macht den Puls.
say-uneven = { $name }, ein Schlag, ein Anschwellen: gleichmäßig vor viel.
say-uneven-straight = { $name }, hier gerade: Luft strömen lassen.
say-straight = { $name }, schöner Ton: jetzt ein Luftstoß auf jeden Schlag.
count-to-the-beat =
    { $n ->
        [1] einer auf jeden
        [2] zwei auf jeden
        [3] drei auf jeden
        [4] vier auf jeden
        [5] fünf auf jeden
        [6] sechs auf jeden
        [7] sieben auf jeden
        [8] acht auf jeden
       *[other] { $n } auf jeden
    }
count-none = auf die anderen hören
