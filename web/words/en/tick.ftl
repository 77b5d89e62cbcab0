# The tick on a player’s device, its delay, and the beat’s exactness.

tick-title = The tick on this device
tick-who = Who sounds it
tick-follow = as the conductor set
tick-always = always on this device
tick-never = never on this device
tick-is-follow = Tick: as set
tick-is-always = Tick: always
tick-is-never = Tick: never
tick-sound = Sound
tick-wood = wood
tick-bright = bright
tick-volume = Loudness
tick-care = Keep it as soft as you can follow, above all in headphones. Ears that ring want a rest.
tick-felt = felt: the device shakes on the beat
tick-felt-care = For the hand or pocket, and less exact than the sound. On a stand it rattles, and the microphone hears that.
clock-off = The beat on this device may be up to { $ms } ms off: the Wi-Fi is slow.
clock-far-off = The beat on this device may be far off: the Wi-Fi is slow.

## “Set my timing”: how long sound takes through this device.

timing-title = Set my timing
timing-why = Sound takes its time through a device. Measured once, early and late can be told from your own middle.
timing-wait = The music runs just now. Set it when the music has ended.
timing-loudspeaker = With the loudspeaker
timing-loudspeaker-how = the device clicks and hears itself
timing-taps = With headphones
timing-taps-how = you tap with the tick, 12 times
timing-stop = Stop
timing-forget = Forget the delay
timing-not-measured = Your marks are drawn around your own middle: this device’s delay has not been measured.
timing-is-set = This device’s delay is set: { $ms } ms.
timing-is-not-set = This device’s delay has not been measured with this microphone and what you listen with.
timing-cannot = It cannot be measured here: { $why }.
timing-inexact = this browser cannot place clicks exactly enough
timing-before-loudspeaker = Unplug headphones, turn the volume up to the middle, put the device where it will stand. Eight clicks: be quiet for eight seconds.
timing-before-taps = Headphones on. After four ticks tap with your finger beside the microphone, once with each tick, twelve times.
timing-click = Listening: click { $n } of { $of }.
timing-before-tap = Listen: { $n } more before you tap.
timing-tap = Tap: { $n } of { $of }.
timing-good = Done: the delay is { $ms } ms, to within { $scatter } ms.
timing-wireless = That is long, as with wireless headphones or a wireless loudspeaker; with a cable or the device’s own loudspeaker the beat is surer.
timing-tapped = People tap a little ahead of a tick, so this is less exact than the loudspeaker’s way.
timing-no-taps = No taps were heard. Tap harder, right beside the microphone, and try again.
timing-no-clicks = The clicks were not heard. Turn the volume up, take headphones out, and try again; or use the other way, with headphones.
timing-few-taps = Only { $n } taps were clear. Tap once with each tick, hard and short, and try again.
timing-few-clicks = Only { $n } of the clicks were clear. Turn the volume up, wait for a quieter moment, and try again.
timing-scattered-taps = The taps lay too far apart from the ticks to tell the delay. Listen to the four ticks first, then try again.
timing-scattered-clicks = The delay was another one each time, as with wireless (Bluetooth) sound or a busy device. Use a cable or the device’s own loudspeaker, close other programs, and try again.
timing-cancelled = Stopped. Nothing was changed.
timing-music = The music began, so this was stopped. Try again when it has ended.
timing-stood-still = The sound stood still meanwhile, so nothing was measured. Try again.
