# The microphone: how to allow it, what is wrong with a device’s sound, for its player and in a few words for the conductor.
# Names of menus are from memory and change with versions, so each text says what to look for.

mic-your-browser = your browser
mic-insecure = This page may not listen, because its address does not begin with https. Ask for the room’s https address, and join there.
mic-cannot = This browser cannot listen. Use a newer one, or another device.
mic-held = Another program holds the microphone. Close calls and recorders, then press “Listen again”.
mic-none = No microphone was found. Plug one in or use another device, then press “Listen again”.
mic-refused = The microphone is not allowed. { $how } Then press “Listen again”.
mic-refused-by-system = The device does not let { $browser } use the microphone. Allow it in the device’s settings for privacy, then press “Listen again”.
mic-question-closed = The question about the microphone was closed. Press “Listen again” and choose “Allow”.
mic-allow = Click the sign left of the address and set “Microphone” to “Allow”.
mic-allow-firefox = Click the crossed-out microphone left of the address and take the block away.
mic-allow-safari = Choose Safari, “Settings for this Website”, “Microphone: Allow”.
mic-allow-iphone-safari = Tap the sign beside the address (“aA” or lines), then “Website Settings” and “Microphone: Allow”. If that is not there: Settings, Apps, Safari, Microphone.
mic-allow-iphone = Open the Settings of the device, then Apps, { $browser }, and switch “Microphone” on.
mic-allow-android = Tap the sign left of the address, then “Permissions”, and switch “Microphone” on. If that is not there: the device’s Settings, Apps, your browser, Permissions.
mic-allow-android-firefox = Tap the lock beside the address, then “Microphone”, so that it is allowed.
mic-allow-chromebook = Click the sign left of the address and switch “Microphone” on. If it cannot be switched, the school has barred it: ask whoever looks after the device.

## What is heard in the sound, for the player.

capture-clips = Your microphone is clipping: move it further away.
capture-headset = This sounds like a Bluetooth headset: use the device’s own microphone.
capture-gain = This device turns the level up and down by itself, so your depth cannot be trusted: if you can, play with another one.
capture-processed = Your device changes the sound ({ $how }): your pulses may look smaller than they are.
processing-echo-cancellation = echo cancellation
processing-noise-suppression = noise suppression
processing-auto-gain-control = automatic level

## The same in a few words, for the conductor.

lane-capture-clips = the microphone clips
lane-capture-headset = sounds like a headset
lane-capture-level = the device turns its level
lane-checked = microphone checked
lane-over-line = slow line
lane-check-dead = microphone gives nothing
lane-check-no-tone = no tone in the check
lane-check-clipped = clips
lane-check-gated = cuts long tones off
lane-check-level-turned = turns its level
lane-check-headset = sounds like a headset
lane-check-noisy = noise near the tone
lane-check-soft = faint
lane-check-other-note = plays another note
lane-check-processed = changes the sound
