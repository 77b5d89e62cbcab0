# Die Begrüßung über einfaches http: was das Gerät tun muss, damit es diesem Computer vertraut. Wie Systeme und Browser die Dinge
# auf Deutsch nennen, ist aus dem Gedächtnis. $authority ist der Name des Zertifikats, $name der des Computers im Browser.

welcome-title = Willkommen
welcome-reached = Dieses Gerät erreicht den Computer der Leitung.
welcome-not-trusted = Es weiß noch nicht, dass es ihm vertrauen darf.
welcome-trusted = Es vertraut ihm. Weiter geht’s.
welcome-why = Windrow braucht das Mikrofon, und das geben Browser nur Seiten, denen sie vertrauen. Tu das hier einmal, dann beginnen die nächsten Proben sofort.
welcome-once = Einmal vertrauen: { $device }
welcome-come-back = Komm auf diese Seite zurück.
welcome-looks = Diese Seite sieht alle paar Sekunden nach, ob es geklappt hat, und geht dann von selbst weiter. Tut sie es eine halbe Minute nach dem letzten Schritt noch nicht, schließ den Browser ganz und öffne diese Seite wieder: Manche Browser sehen erst dann neu nach.
welcome-slow = Die sichere Seite unter { $host } antwortet gar nicht. Bleib im WLAN des Raums und schalte mobile Daten aus; bleibt es dabei, sag der Leitung, dass vielleicht eine Firewall diese Tür schließt.
welcome-other-way = Der andere Weg: ohne etwas zu installieren
welcome-other-way-what = Geh an der Warnung deines Browsers vorbei. Das hält ein paar Tage, dann kommt die Warnung wieder.
welcome-past = Tipp auf <a class="press second" id="past" href="{ $url }">Trotzdem weiter</a>.
welcome-warning-means = Was die Warnung bedeutet: Alles ist verschlüsselt, aber dein Browser weiß nicht, wessen Computer das ist. Tu das nur im WLAN deines eigenen Probenraums und nie, weil die Seite einer Bank oder eines Ladens es verlangt.
welcome-what-title = Wem soll ich da vertrauen?
welcome-what-limited = Einem Zertifikat, das der Computer der Leitung sich selbst ausgestellt hat. Es kann für die eigenen Namen dieses Computers einstehen und für Adressen in privaten Netzen (die mit 10, 172.16 bis 172.31, 192.168 und fc oder fd beginnen), sonst für nichts: nicht für Seiten im Internet, nicht für deine Mail oder deine Bank.
welcome-what-unlimited = Einer Zertifizierungsstelle, die der Computer der Leitung sich selbst eingerichtet hat. Sie hat keine Grenzen: Wer ihren Schlüssel hat, könnte deinem Gerät gegenüber für jede Seite einstehen. Entferne sie wieder, wenn du das Register verlässt, oder nimm den anderen Weg.
welcome-fingerprint = Der Fingerabdruck (SHA-256) muss der auf dem Aushang sein:
welcome-as-text = Dasselbe Zertifikat als Text: <a href="/welcome/authority.pem">windrow.pem</a>.
welcome-away-title = Wie werde ich es wieder los?
welcome-another = Ein anderes Gerät?
welcome-no-script = Diese Seite kann nur mit JavaScript von selbst weitergehen, und die Probe braucht es auch. Schalte es ein und lade die Seite neu.

## Arten von Geräten.

device-apple = iPhone oder iPad
device-android = Android
device-android-firefox = Firefox auf Android
device-chromebook = Chromebook
device-windows = Windows
device-mac = Mac
device-linux = Linux

## iPhone und iPad.

apple-get = Tipp in Safari auf <a class="press" href="/welcome/windrow.mobileconfig">Profil holen</a> und dann auf „Zulassen“.
apple-install = Öffne die Einstellungen. Tipp oben auf „Profil geladen“, dann auf „Installieren“ (dein Code wird verlangt) und noch einmal auf „Installieren“.
apple-trust = Noch in den Einstellungen: Allgemein, Info, ganz unten „Zertifikats&shy;vertrauens&shy;einstellungen“. Schalte <strong>{ $authority }</strong> ein und tipp auf „Fortfahren“.
profile-what = Damit vertraut dieses Gerät dem Computer im Probenraum, sodass die Seite das Mikrofon benutzen darf.
apple-past = Safari sagt „Diese Verbindung ist nicht privat“: Tipp auf „Details einblenden“, dann auf „diese Website besuchen“, dann auf „Website besuchen“.
apple-away = Einstellungen, Allgemein, VPN und Geräteverwaltung: Tipp auf { $authority }, dann auf „Profil entfernen“.

## Android.

android-get = Tipp auf <a class="press" href="/welcome/authority.crt">Zertifikat holen</a>. Es liegt dann als windrow.crt unter Downloads.
android-find = Öffne die Einstellungen und such dort nach „CA-Zertifikat“ (es steht unter Sicherheit, Verschlüsselung und Anmeldedaten, Zertifikat installieren).
android-install = Tipp auf „CA-Zertifikat“, „Trotzdem installieren“ und wähle windrow.crt. Vielleicht will das Gerät seine PIN.
android-past = Chrome sagt „Dies ist keine sichere Verbindung“: Tipp auf „Erweitert“, dann auf „Weiter zu { $name } (unsicher)“.
android-away = Einstellungen, Sicherheit, Verschlüsselung und Anmeldedaten, Vertrauenswürdige Anmeldedaten (oder Nutzeranmeldedaten): Tipp unter „Nutzer“ auf { $authority }, dann auf „Entfernen“.
android-firefox-chrome = Öffne die Adresse dieser Seite besser in Chrome und folge den Schritten dort: Firefox auf Android vertraut nicht, wem das Telefon vertrauen soll.
android-firefox-stay = Oder bleib hier und nimm den anderen Weg weiter unten.
android-firefox-past = Firefox warnt vor einem Sicherheitsrisiko: Tipp auf „Erweitert“, dann auf „Risiko akzeptieren und fortfahren“. Nach jedem Schließen fragt er wieder nach dem Mikrofon.
android-firefox-away = Es wurde nichts installiert. Firefox vergisst, dass es an der Warnung vorbeiging, wenn du seine Browserdaten löschst.

## Chromebook.

chromebook-get = Nimm <a class="press" href="/welcome/authority.crt">das Zertifikat</a>. Es liegt dann als windrow.crt unter Downloads.
chromebook-open = Öffne einen neuen Tab und tipp <strong>chrome://certificate-manager</strong> ein (bei älteren: chrome://settings/certificates). Wähle deine Zertifikate, dann „Importieren“ bei den vertrauenswürdigen Zertifikaten, oder „Zertifizierungsstellen“.
chromebook-trust = Wähle windrow.crt und kreuz an, dass ihm beim Identifizieren von Websites vertraut wird.
chromebook-managed = Ein Chromebook, das die Schule verwaltet, lässt das vielleicht nicht zu. Dann kann die Verwaltung der Schule das Zertifikat für alle hinzufügen; bis dahin nimm den anderen Weg.
chromebook-past = Chrome sagt „Dies ist keine sichere Verbindung“: Klick auf „Erweitert“, dann auf „Weiter zu { $name } (unsicher)“. Manche Schulen schalten das ab.
chromebook-away = chrome://certificate-manager: Such { $authority } unter deinen Zertifikaten und lösch es.

## Windows.

windows-get = Nimm <a class="press" href="/welcome/authority.crt">das Zertifikat</a> und öffne windrow.crt aus den Downloads.
windows-install = „Zertifikat installieren“, „Aktueller Benutzer“, „Alle Zertifikate in folgendem Speicher speichern“: über „Durchsuchen“ zu „Vertrauenswürdige Stammzertifizierungsstellen“, dann „Weiter“ und „Fertig stellen“.
windows-thumbprint = Windows zeigt einen Fingerabdruck und fragt: „Ja“. Komm auf diese Seite zurück.
windows-away = Drück die Windows-Taste, tipp certmgr.msc und öffne es: Vertrauenswürdige Stammzertifizierungsstellen, Zertifikate; lösch { $authority }.

## Mac.

mac-get = Nimm <a class="press" href="/welcome/authority.crt">das Zertifikat</a> und öffne windrow.crt aus den Downloads: Die Schlüsselbundverwaltung nimmt es unter „Anmeldung“ auf.
mac-trust = Such dort <strong>{ $authority }</strong>, öffne es, klapp „Vertrauen“ auf und wähle „Immer vertrauen“. Schließ das Fenster und gib dein Passwort ein.
mac-past = Safari: „Details einblenden“, dann „diese Website besuchen“. Chrome: „Erweitert“, dann „Weiter zu { $name } (unsicher)“. Firefox: „Erweitert“, dann „Risiko akzeptieren und fortfahren“.
mac-away = Schlüsselbundverwaltung, „Anmeldung“: Lösch { $authority }.

## Linux und was nicht bekannt ist.

linux-get = Nimm <a class="press" href="/welcome/authority.crt">das Zertifikat</a>.
linux-install = Chrome und Chromium: Öffne <strong>chrome://certificate-manager</strong>, deine Zertifikate, und importier windrow.crt als vertrauenswürdig. Firefox: Einstellungen, such nach „Zertifikate“, Zertifikate anzeigen, Zertifizierungsstellen, Importieren; kreuz an, dass es Websites identifizieren darf.
computer-past = Chrome: „Erweitert“, dann „Weiter zu { $name } (unsicher)“. Edge: „Erweitert“, dann „Weiter zu { $name } (unsicher)“. Firefox: „Erweitert“, dann „Risiko akzeptieren und fortfahren“.
linux-away = Wo du es importiert hast: Such { $authority } und lösch es.
