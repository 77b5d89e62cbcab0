# Der Tick auf dem Gerät eines Spielers, dessen Verzögerung und wie genau der Schlag ist.

tick-title = Der Tick auf diesem Gerät
tick-who = Wer ihn hören lässt
tick-follow = wie die Leitung es eingestellt hat
tick-always = immer auf diesem Gerät
tick-never = nie auf diesem Gerät
tick-is-follow = Tick: wie eingestellt
tick-is-always = Tick: immer
tick-is-never = Tick: nie
tick-sound = Klang
tick-wood = Holz
tick-bright = hell
tick-volume = Lautstärke
tick-care = So leise, wie du ihm noch folgen kannst, vor allem im Kopfhörer. Ohren, die klingen, brauchen Ruhe.
tick-felt = spürbar: Das Gerät rüttelt auf dem Schlag
tick-felt-care = Für Hand oder Tasche und weniger genau als der Klang. Auf dem Notenständer klappert es, und das hört das Mikrofon.
clock-off = Der Schlag auf diesem Gerät kann um bis zu { $ms } ms danebenliegen: Das WLAN ist langsam.
clock-far-off = Der Schlag auf diesem Gerät kann weit danebenliegen: Das WLAN ist langsam.

## „Meine Zeit einstellen“: wie lange Klang durch dieses Gerät braucht.

timing-title = Meine Zeit einstellen
timing-why = Klang braucht seine Zeit durch ein Gerät. Einmal gemessen, lassen sich früh und spät von deiner eigenen Mitte unterscheiden.
timing-wait = Gerade läuft Musik. Stell es ein, wenn sie zu Ende ist.
timing-loudspeaker = Mit dem Lautsprecher
timing-loudspeaker-how = das Gerät klickt und hört sich selbst
timing-taps = Mit Kopfhörer
timing-taps-how = du klopfst 12-mal mit dem Tick
timing-stop = Abbrechen
timing-forget = Verzögerung vergessen
timing-not-measured = Deine Striche stehen um deine eigene Mitte: Die Verzögerung dieses Geräts ist nicht gemessen.
timing-is-set = Die Verzögerung dieses Geräts ist eingestellt: { $ms } ms.
timing-is-not-set = Die Verzögerung dieses Geräts ist mit diesem Mikrofon und dem, womit du hörst, nicht gemessen.
timing-cannot = Hier lässt es sich nicht messen: { $why }.
timing-inexact = dieser Browser kann Klicks nicht genau genug setzen
timing-before-loudspeaker = Kopfhörer heraus, Lautstärke auf die Mitte, das Gerät dorthin, wo es stehen wird. Acht Klicks: Sei acht Sekunden still.
timing-before-taps = Kopfhörer auf. Nach vier Ticks klopf mit dem Finger neben das Mikrofon, einmal mit jedem Tick, zwölfmal.
timing-click = Es hört zu: Klick { $n } von { $of }.
timing-before-tap = Hör zu: noch { $n }, bevor du klopfst.
timing-tap = Klopf: { $n } von { $of }.
timing-good = Fertig: Die Verzögerung ist { $ms } ms, auf { $scatter } ms genau.
timing-wireless = Das ist lang, wie bei Funkkopfhörern oder Funklautsprechern; mit Kabel oder dem Lautsprecher des Geräts ist der Schlag sicherer.
timing-tapped = Man klopft ein wenig vor dem Tick, darum ist das weniger genau als der Weg mit dem Lautsprecher.
timing-no-taps = Es war kein Klopfen zu hören. Klopf fester, gleich neben das Mikrofon, und versuch es noch einmal.
timing-no-clicks = Die Klicks waren nicht zu hören. Stell lauter, zieh Kopfhörer ab und versuch es noch einmal; oder nimm den anderen Weg, mit Kopfhörer.
timing-few-taps = Nur { $n } Klopfer waren deutlich. Klopf einmal mit jedem Tick, fest und kurz, und versuch es noch einmal.
timing-few-clicks = Nur { $n } der Klicks waren deutlich. Stell lauter, warte einen ruhigeren Moment ab und versuch es noch einmal.
timing-scattered-taps = Das Klopfen lag zu weit von den Ticks, um die Verzögerung zu bestimmen. Hör erst die vier Ticks, dann versuch es noch einmal.
timing-scattered-clicks = Die Verzögerung war jedes Mal eine andere, wie bei Funk (Bluetooth) oder einem beschäftigten Gerät. Nimm ein Kabel oder den Lautsprecher des Geräts, schließ andere Programme und versuch es noch einmal.
timing-cancelled = Abgebrochen. Es wurde nichts geändert.
timing-music = Die Musik hat begonnen, darum wurde abgebrochen. Versuch es noch einmal, wenn sie zu Ende ist.
timing-stood-still = Der Klang stand zwischendurch still, darum wurde nichts gemessen. Versuch es noch einmal.
