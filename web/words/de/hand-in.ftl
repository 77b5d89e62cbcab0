# Abgeben, was zu Hause geübt wurde, auf der Seite der Spielenden in einer Probe.

hand-in-practice = Übe-Seite für zu Hause behalten
hand-in-ask =
    { $n ->
        [one] Du hast einmal zu Hause geübt. Darf deine Lehrkraft das sehen?
       *[other] Du hast { $n } Mal zu Hause geübt. Darf deine Lehrkraft das sehen?
    }
hand-in-yes = Abgeben
hand-in-no = Für mich behalten
hand-in-done =
    { $n ->
        [one] Was du zu Hause geübt hast, liegt jetzt bei deiner Lehrkraft.
       *[other] { $n } Mal Üben zu Hause liegt jetzt bei deiner Lehrkraft.
    }
hand-in-refused =
    { $n ->
        [one] Was du zu Hause geübt hast, konnte nicht genommen werden; warum, steht auf der Übe-Seite.
       *[other] { $n } Mal Üben konnte nicht genommen werden; warum, steht auf der Übe-Seite.
    }
