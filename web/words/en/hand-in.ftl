# Handing in what was practised at home, on the player's page in a rehearsal.

hand-in-practice = Keep the practice page for home
hand-in-ask =
    { $n ->
        [one] You practised at home once. May your teacher see it?
       *[other] You practised at home { $n } times. May your teacher see it?
    }
hand-in-yes = Hand it in
hand-in-no = Keep it to myself
hand-in-done =
    { $n ->
        [one] A practice from home is with your teacher now.
       *[other] { $n } practices from home are with your teacher now.
    }
hand-in-refused =
    { $n ->
        [one] A practice from home could not be taken; the practice page says why.
       *[other] { $n } practices from home could not be taken; the practice page says why.
    }
