# Üben zu Hause, allein mit dem Gerät: die Seite davor und danach, und was neben der Spur zu drücken ist.

practice-title = Üben zu Hause
practice-short-name = Üben
practice-begin = Zuhören und anfangen
practice-beginning = Fängt an
practice-known = Du bist { $name }, { $instrument }
practice-sound-stays = Dein Gerät fragt, ob es zuhören darf. Der Klang verlässt es nie.
practice-care = Atemübungen strengen an. Hör auf, setz dich hin und atme normal, wenn dir schwindelig wird, und hör für heute auf, wenn du müde bist: Zehn Minuten am Tag bringen mehr als eine Stunde in der Woche.
practice-plan-about =
    { $n ->
        [one] Eine Übung, { $minutes }.
       *[other] { $n } Übungen, { $minutes }.
    }
practice-plan-chosen = Von deiner Lehrkraft am { $day } gestellt, für { $section }.
practice-plan-room = Was { $section } in der Probe spielt, Stand { $day }.
practice-plan-built-in = Ein Plan, der mit Windrow kommt, bis deine Lehrkraft einen anderen stellt.
practice-plan-missing = Der Computer deiner Lehrkraft ist nicht zu erreichen, und auf diesem Gerät liegt noch kein Plan. Öffne diese Seite einmal in der Probe.
practice-no-plan = Es gibt noch keinen Plan zum Üben. Öffne diese Seite einmal in der Probe.
practice-minutes =
    { $n ->
        [0] weniger als eine Minute
        [one] 1 Minute
       *[other] { $n } Minuten
    }

## Was aus dem Üben geworden ist, und die Liste.

practice-came-to = Gespielte Zeit: { $minutes }. Gut gemacht.
practice-came-to-rung = { $rung } hast du vier Takte lang gehalten. Gespielte Zeit: { $minutes }. Gut gemacht.
practice-came-to-nothing = Es wurde nichts gespielt, also wird nichts aufgehoben.
practice-was-long = Eine Stunde genügt für einen Tag, darum ist hier Schluss.
practice-mine = Was ich geübt habe
empty-practices = Noch nichts. Was du übst, steht dann hier, und deine Lehrkraft sieht es, wenn du wieder in der Probe bist.
practice-all =
    { $n ->
        [one] Einmal geübt, { $minutes }.
       *[other] { $n } Mal geübt, zusammen { $minutes }.
    }
practice-all-with-rung =
    { $n ->
        [one] Einmal geübt, { $minutes }. Höchste gehaltene Stufe: { $rung }.
       *[other] { $n } Mal geübt, zusammen { $minutes }. Höchste gehaltene Stufe: { $rung }.
    }
practice-rung = { $rung } gehalten
practice-is-handed-in = Bei deiner Lehrkraft.
practice-is-here = Bisher nur auf diesem Gerät.
practice-is-refused = Vom Computer deiner Lehrkraft nicht genommen: { $why }
practice-save = Als Datei sichern
practice-save-of = Das Üben vom { $when } als Datei sichern
practice-delete = Löschen
practice-delete-of = Das Üben vom { $when } löschen
practice-delete-sure = Endgültig löschen
practice-file = Geübtes von woanders holen
practice-file-what = Von einem anderen Gerät von dir, aus dem Terminal oder von diesem Gerät, als die Probe eine andere Adresse hatte: Sichere es dort als Datei und wähle sie hier.
practice-file-choose = Datei vom Üben
practice-file-taken = „{ $file }“ steht in der Liste.
practice-file-strange = In „{ $file }“ ist nichts Geübtes.
practice-hands-in = Bei der nächsten Probe von selbst abgeben, was ich geübt habe
practice-not-kept = Dieser Browser hebt gerade nichts auf: Er ist voll, oder es ist ein privates Fenster. Üben kannst du trotzdem; deine Lehrkraft sieht es dann nicht.

## Ob die Seite auf dem Gerät bleibt.

practice-keeping = Ohne das WLAN der Probe
practice-kept = Diese Seite und ihr Plan liegen jetzt auf diesem Gerät: Öffne zu Hause dieselbe Adresse. Am einfachsten legst du sie gleich auf den Startbildschirm: im Menü des Browsers „Zum Home-Bildschirm“ oder „Installieren“. Auf einem iPhone wird sie dann auch nicht nach einigen Wochen weggeräumt.
practice-not-plain = Diese Seite kam über einfaches http, darum behält sie kein Browser. Sie geht, solange der Computer zu erreichen ist, von dem sie kam.
practice-not-trusted = Dieser Browser vertraut dem Computer deiner Lehrkraft noch nicht und behält darum keine Seite von ihm: Hier kannst du nur im WLAN der Probe üben. Installiere einmal das Zertifikat, wie es auf der Willkommensseite steht, dann öffne diese Seite wieder. Oder frag nach dem Weg ohne Browser: windrow play --solo.
practice-to-welcome = Wie man das Zertifikat installiert
practice-not-browser = Dieser Browser behält keine Seiten für später, wie in privaten Fenstern. Öffne diese Adresse in einem gewöhnlichen Fenster oder in einem anderen Browser.
practice-not-reached = Der Computer deiner Lehrkraft ist gerade nicht zu erreichen, darum konnte die Seite nicht aufgehoben werden. Öffne sie in der Probe noch einmal.

## Während man übt.

practice-controls = Üben
practice-start = Los
practice-stop = Stopp
practice-go-on = Weiter
practice-again = Noch mal
practice-next = Nächste
practice-slower = Langsamer
practice-slower-to = Langsamer, { $bpm }
practice-faster = Schneller
practice-faster-to = Schneller, { $bpm }
practice-plan = Plan
practice-done = Ich bin fertig
practice-exercise = Übung
practice-flow = Der Plan geht von selbst weiter
practice-flow-what = Nach jeder Übung kommt ihre Pause, dann wird die nächste eingezählt. „Stopp“ beendet das jederzeit.
practice-resting = Pause: { $name } in { $s } s
practice-step-next = Das saß. Als Nächstes: { $next }
practice-step-last = Das saß, und es war die letzte Übung.
practice-step-again = Spiel es noch einmal.
practice-step-slower = Nimm es langsamer: { $bpm }.
practice-step-back = Geh eine Stufe zurück.
practice-step-microphone = Das Gerät hat dich nicht gut gehört: „Mehr“, „Mein Mikrofon prüfen“.
practice-step-rest = Mach erst zwei Minuten Pause.
practice-care-rest = { $minutes } Minuten ohne Pause: Leg das Instrument für zwei Minuten weg.
practice-care-breath = Von Atempulsen kann dir schwindelig werden: Dann hör auf, setz dich hin und atme normal.

## Auf der Seite der Pläne.

practice-set = Zum Üben zu Hause
practice-set-spoken = { $title } zum Üben zu Hause
practice-is-set = zu Hause
practice-was-set = „{ $title }“ ist jetzt der Plan zum Üben zu Hause. Wer seine Übe-Seite in der Probe öffnet, bekommt ihn.
