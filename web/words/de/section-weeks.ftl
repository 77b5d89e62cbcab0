# Das Register über Wochen, für die Leitung. Hier stehen Spielende nebeneinander, weil für alle geplant wird.

section-weeks-title = Das Register über die Wochen
section-weeks-page = { $section } über die Wochen
section-weeks-of = { $n ->
    [one] Eine Woche
   *[other] { $n } Wochen
}, { $rehearsed } mit einer Probe
section-weeks-print = Drucken
section-weeks-invented = Erfundene Spielende: Das hat niemand gespielt.

## Vor der ersten Probe.

section-weeks-none = Nach der ersten Probe zeigt diese Seite, wie das Register vorankommt
section-weeks-none-next = Was als Nächstes zu planen ist, und warum: die Stufe, die das halbe Register hält, und die danach.
section-weeks-none-who = Wer in vier Wochen auf eine schnellere Stufe gekommen ist, wer immer wieder dieselbe versucht, wer gefehlt hat.
section-weeks-none-together = Wie sehr das Register zusammen war, Woche für Woche, und eine Treppe der Stufen für alle, die spielen.
section-weeks-none-begin = Auf <a href="/conduct/plans">der Seite der Pläne</a> einen Plan verwenden und spielen lassen. Eine Stufe zählt, wenn sie vier Takte lang in einem Tempo gespielt wurde.

## Was als Nächstes zu planen ist, und warum.

section-weeks-next = Als Nächstes planen: { $rung }
section-weeks-next-music = Als Nächstes planen: in die Musik
section-weeks-next-nothing = Die erste Probe planen
section-weeks-why-nothing = Noch wurde keine Stufe versucht. Die erste Stunde beginnt mit einem geraden Ton.
section-weeks-why-break = { $n } Wochen lang war keine Probe. Das halbe Register hielt { $held }; eine Marke darunter beginnen.
section-weeks-why-break-freely = { $n } Wochen lang war keine Probe. Langsam beginnen: Es kommt bald wieder.
section-weeks-why-begin = { $n ->
    [0] Noch hält niemand eine Stufe
   *[other] { $n } von { $of } halten eine Stufe
}: mit einem Puls auf jedem Schlag beginnen.
section-weeks-why-stay = Vorerst hier bleiben: Das halbe Register hält sie, { $n } von { $of } kommen darüber nicht weiter.
section-weeks-why-onwards = { $n } von { $of } halten { $held }: die nächste Marke.
section-weeks-why-musical = { $n } von { $of } halten { $held }. Schnellere Pulse sind kein Vibrato mehr: wachsen und abnehmen lassen, hinein- und hinausführen.
section-weeks-help = { $n } steht im Weg: { $state }. Was hilft: { $exercise }.
section-weeks-in-plan = In „{ $plan }“: { $exercise }.
section-weeks-in-whole-plan = In „{ $plan }“.
section-weeks-in-no-plan = Noch steht es in keinem Plan.
section-weeks-use = „{ $plan }“ verwenden
section-weeks-to-rehearsal = Zur Probe
section-weeks-see = Ansehen
section-weeks-see-spoken = Ansehen: { $plan }
section-weeks-make = Einen Plan dafür anlegen

## Ein Plan für eine Stufe. $rung wie in der Überschrift.

section-weeks-plan-title = Als Nächstes: { $rung }
section-weeks-plan-about = Aus den bisherigen Wochen: ein gerader Ton, die Marke darunter, eine Leiter bis zur neuen, und die neue für sich.
section-weeks-plan-care = Das sind Atemübungen: Wenn dir schwindlig wird, hör auf, setz dich und atme wie sonst.

## Wer vorangekommen ist, wer nicht weiterkommt, wer gefehlt hat.

section-weeks-moved-head = In vier Wochen vorangekommen
section-weeks-moved = { $name }: von { $before } zu { $now }
section-weeks-moved-first = { $name }: { $now }, die erste Stufe
section-weeks-moved-new = { $name }, neu: { $now }
section-weeks-moved-nobody = Niemand ist auf einer anderen Stufe. Solche Wochen hat jedes Register.
section-weeks-stuck-head = Kommt nicht weiter
section-weeks-stuck = { $name }: { $rung }, in { $n } Wochen versucht
section-weeks-stuck-helps = { $name }: { $rung }, in { $n } Wochen versucht; { $need }
section-weeks-stuck-nobody = Niemand
section-weeks-away-head = Hat gefehlt
section-weeks-missed = { $names }: { $n ->
    [one] die letzte Woche
   *[other] die letzten { $n } Wochen
} mit Probe
section-weeks-and-more = und { $n } weitere, unten
section-weeks-away-nobody = Niemand: In der letzten Probe waren alle da

## Die Kurven.

section-weeks-chart-together = Zusammen
section-weeks-chart-together-is = Wie sehr die Pulse zusammen waren: 1 heißt alle im selben Augenblick, 0 irgendwann. Linie: die Mitte aller Durchgänge einer Woche; Band: die Hälfte der Durchgänge. Eine schwerere Stufe macht es weniger.
section-weeks-now-together = jetzt { $r }
section-weeks-chart-matched = Wie lange es passte, % der Zeit
section-weeks-chart-matched-is = Wie viel von der Zeit, über die sich etwas sagen ließ, es bei allen passte.
section-weeks-now-matched = jetzt { $percent } %

## Die Spielenden.

section-weeks-players = Alle einzeln
section-weeks-players-are = Linie: die höchste gehaltene Stufe. Offenes Kästchen: die tiefste versuchte, die nicht hielt. Ring: zu Hause gehalten. Gepunktet: in keiner Probe. Alle im selben Maßstab, von { $low } bis { $high }.
section-weeks-stair = Stufen von { $name }
section-weeks-stair-is = Hält jetzt: { $now }; vor vier Wochen: { $before }.
section-weeks-column-player = Wer
section-weeks-column-stair = Gehaltene Stufe
section-weeks-column-now = Jetzt
section-weeks-column-before = Vor vier Wochen
section-weeks-column-tried = Kommt nicht weiter bei
section-weeks-column-home = Zu Hause
section-weeks-tried = { $rung }, { $n } Wochen
section-weeks-tried-state = { $rung }, { $n } Wochen: { $state }
section-weeks-has-moved = vorangekommen

## Die Wochen.

section-weeks-figures = Woche für Woche, als Tabelle
section-weeks-column-week = Woche ab
section-weeks-column-runs = Durchgänge
section-weeks-column-in = Spielende
section-weeks-column-together = Zusammen
section-weeks-column-spread = Streuung
section-weeks-column-matched = Passt
section-weeks-column-n-home = Zu Hause
section-weeks-column-home-minutes = Zu Hause gehört
section-weeks-unit-ms = ms
section-weeks-unit-percent = %
section-weeks-unit-players = Spielende
section-weeks-unit-min = min
section-weeks-choose-span = Wie weit zurück
section-weeks-span-12 = zwölf Wochen
section-weeks-span-52 = ein Jahr
section-weeks-span-all = alles
section-weeks-reading = Wie das zu lesen ist
section-weeks-reading-held = Gehalten heißt: In einer Probe passte es vier Takte lang in einem Tempo. Was einmal gehalten wurde, bleibt erreicht; hier zählt das letzte halbe Jahr, beim Blick weiter zurück ein Jahr.
section-weeks-reading-next = Die nächste Stufe ist die nach der höchsten, die das halbe Register hält; wer vier Wochen in keiner Probe war, zählt nicht. Kommt ein Drittel darüber nicht weiter, bleibt sie.
section-weeks-reading-stuck = Nicht weiter kommt, wer in vier Wochen auf keine andere Stufe gekommen ist, eine in drei oder mehr der letzten sechs Wochen versucht und weder sie noch eine schnellere mit denselben Pulsen gehalten hat.
section-weeks-reading-together = Zusammen und Streuung: die Mitte der Durchgänge einer Woche, jeder nach der Zahl der Spielenden darin gewichtet. Eine Woche geht von Montag bis Sonntag, nach Weltzeit; eine ohne Probe wird ausgelassen, nicht ergänzt.
section-weeks-reading-home = Was zu Hause gespielt wurde, ändert hier nichts; es hat eine eigene Spalte und eigene Ringe.
section-weeks-care = Erste Versuche sind holprig, das gehört dazu. Schwindlig? Aufhören, hinsetzen, atmen wie sonst.
