# “Check my microphone” on the player’s page: what to do, what was found, what to change.

check-title = Check my microphone
check-offer = Does the microphone hear you well? Ten seconds tell.
check-now = Check now
check-later = Not now
check-not-yet = Microphone not checked yet.
check-progress = How far this part is
check-start = Start
check-again = Check again
check-beforehand = Ten seconds: first be silent, then play one long, straight note.
check-not-listening = This page does not listen just now. Close this, and press “Listen again”.
check-music = Others play just now, so the silence is not judged.
check-be-silent = Be silent.
check-keep = Keep the note, long and straight.
check-play-one = Now play one note, long and straight.
check-play = Now play your note, { $note }, long and straight.
check-all-well = All is well: the microphone hears you clearly.
check-was-well = Microphone checked: all is well.
check-was = Microphone checked: { $what }
check-fact-tone = your tone { $db }
check-fact-noise = without it { $db }
check-fact-note = you played { $note }
check-fact-rate = { $khz } kHz
found-dead = Nothing at all comes from the microphone.
change-dead = Look for a switch on the device or headset, and for a microphone that is muted in its settings. Then check again.
found-no-tone = No tone was heard.
change-no-tone = Play one long, straight note, near the device, and check again.
found-clipped = The top of your sound is cut off.
change-clipped = Move the device further away, or turn its microphone away from you.
found-gated =
    { $s ->
        [1] Your tone was gone after about a second.
       *[other] Your tone was gone after about { $s } seconds.
    }
change-gated = If you held it, the device takes a long tone for noise: switch off what it calls noise suppression or voice isolation, or use another device.
found-level-turned = The device turns its level up and down by itself.
found-level-fell = Your tone fell by { $db } dB.
found-level-rose = Your tone rose by { $db } dB.
change-level-turned = Your depth cannot be trusted: use another device if you can.
change-level-turned-by = If you kept it even, the device turns the level by itself, and your depth cannot be trusted: use another one if you can.
found-headset = This sounds like a headset made for speech.
change-headset = Switch Bluetooth off and use the device’s own microphone.
found-noisy = Your tone is only { $db } dB louder than the room without it.
change-noisy = Bring the device nearer to your sound, away from fans and neighbours.
found-soft = Your tone is faint here.
change-soft = Bring the device nearer, with its microphone free and towards you.
found-other-note = You played { $heard }; your note is { $asked }.
change-other-note = If you fingered the right note, another instrument is chosen than the one you play: join again with yours.
found-processed = The device says that it changes the sound ({ $how }).
change-processed = Your pulses may look smaller than they are. Switch it off if its settings let you.
