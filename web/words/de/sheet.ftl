# Das Blatt eines Plans: die Seite, auf der man es wählt, und das Papier.

sheet-page-title = { $title }, Blatt · Windrow
sheet-for = Noten für
sheet-paper = Papier
sheet-show = Zeigen
sheet-how-to-print = Diese Seite mit Strg+P drucken, auf einem Mac mit Befehl+P, auf 100 Prozent: Was über dem Papier steht, bleibt weg.
sheet-none-head = Noch kein Blatt
sheet-none = Dieser Plan lässt sich so nicht spielen, deshalb gibt es kein Blatt davon. Unter /conduct/plans öffnen: Dort steht, was nicht stimmt.

## Das Papier.

sheet-file-title = { $title }, für { $whose } · Windrow
sheet-name = Name
sheet-concert-pitch = klingende Noten
sheet-takes = Dauert
sheet-key = Zeichen über den Noten
sheet-key-straight = gerade
sheet-key-pulses = ein Puls auf jede kleine Note; in einer Linie auf jedem Schlag
sheet-key-free = frei
sheet-example = Ein Ton in Klammern ist ein Beispiel: Spiel den, der dir gegeben wird, oder einen bequemen.
sheet-spread = Wo Dreiklang, Grundton und Quinte oder Nachbartöne steht, kann dein eigener Ton ein anderer sein.
sheet-page = Seite { $number } von { $n }
sheet-quarter = ein Viertel
sheet-goal = Ziel:
sheet-marks = Metronomstufen zum Abhaken
sheet-log = Üben, Woche { $week }
sheet-log-date = Tag
sheet-log-minutes = Minuten
sheet-log-exercise = Übung, Sprosse
sheet-log-felt = wie es war
sheet-care = Gib acht

## Was eine Übung verlangt, in wenigen Worten.

sheet-tempo = { $bpm }
sheet-tempo-changing = { $bpm } bis { $bpm_to }, gleichmäßig
sheet-ease = { $value }: { $phases }
sheet-rung = { $value }, { $bars } auf jeder Stufe
sheet-when-matched = weiter, wenn es passt
sheet-by-hand = weiter, wenn die Leitung es sagt
sheet-passes = erst { $passes }
sheet-down-the-line = der Reihe nach
sheet-fifth = Grundton und Quinte
sheet-triad = Dreiklang
sheet-steps = Nachbartöne
sheet-rest-s = Pause { $s } s
sheet-rest-min = Pause { $min } min
sheet-rest-min-s = Pause { $min } min { $s } s
sheet-notes-as-in = Noten wie in { $number }
sheet-exercises =
    { $n ->
        [one] Übung { $numbers }
       *[other] Übungen { $numbers }
    }

## Ein Notenbild für alle, die es nicht sehen können.

sheet-shows-straight = Ein langer Ton, gerade
sheet-shows-free = Ein langer Ton mit freiem Vibrato
sheet-shows-by-bar = Lange Töne; Takt für Takt im Wechsel: { $values }
sheet-shows-by-beat = Lange Töne; Schlag für Schlag im Wechsel: { $values }
sheet-shows-value = Ein langer Ton, Pulse: { $value }
sheet-shows-ease = Ein langer Ton: { $phases }
sheet-shows-hairpin = Ein langer Ton, der { $growing } lang wächst und { $fading } lang abnimmt: { $values }
sheet-shows-line = Eine Linie, { $notes }, darüber: { $values }

## Was für jeden Plan gilt.

sheet-care-breath = Atemübungen können schwindlig machen: Hör auf, setz dich hin und atme ruhig.
sheet-care-pain = Nichts hier darf wehtun.
sheet-care-rules = Deine Lehrkraft und die Regeln deiner Schule gehen vor.
sheet-care-rest = Mach die Pausen, die hier stehen; lange laut zu spielen schadet dem Gehör.
