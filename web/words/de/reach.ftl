# Was wahrscheinlich zwischen den Telefonen und diesem Computer steht, und was mit seinem Zertifikat ist: was auffällt, und (…-do)
# was zu tun ist. Wie Systeme die Dinge auf Deutsch nennen, ist aus dem Gedächtnis.

way-own-network = einen kleinen eigenen Router ohne Internet oder den Hotspot dieses Computers oder eines Telefons
way-local-only = Windrow hört nur auf diesen Computer selbst, kein Telefon kann es erreichen.
way-local-only-do = Ohne --http und --https starten, oder dort mit einer Adresse dieses Computers.
way-plain-local = Einfaches http ist nur für diesen Computer offen; Telefone bekommen also keine Seite, die ihnen beim Vertrauen hilft.
way-plain-local-do = Windrow ohne --http starten, oder mit --http 0.0.0.0:8470.
way-no-network = Dieser Computer ist in keinem Netz, kein Telefon kann ihn erreichen.
way-no-network-do = Ins WLAN der Telefone gehen oder ein eigenes Netz aufmachen: { $own }. Windrow merkt es.
way-public = Dieser Computer hat nur eine öffentliche Adresse ({ $addresses }), für die sein eigenes Zertifikat nicht einstehen kann.
way-public-do = Ein anderes Netz nehmen, etwa { $own }, oder ein Zertifikat der Schule mit --certificate und --key.
way-not-private = Windrow hört nicht auf die privaten Adressen dieses Computers ({ $addresses }).
way-not-private-do = Mit --http [::]:8470 --https [::]:8471 starten.
way-firewall = { $firewall } Sie hält Telefone vielleicht draußen.
way-nobody = Noch hat kein Gerät diesen Computer erreicht.
way-nobody-do = Ein Telefon die Adresse öffnen lassen. Kommt nichts, ist es vielleicht in einem anderen WLAN oder nutzt mobile Daten; das WLAN trennt vielleicht seine Geräte voneinander, wie es Gast- und Schulnetze oft tun; oder eine Firewall auf diesem Computer steht im Weg. { $open } Liegt es am WLAN: { $own } nehmen.
way-several = Dieser Computer ist in mehreren Netzen. Das Muster führt zu { $address }.
way-several-do = Kommen Telefone dort nicht hin: { $others } versuchen.
way-or = { $first } oder { $last }
way-stuck =
    { $n ->
        [1] Ein Gerät hat die Begrüßung gesehen und ist seither nicht hereingekommen.
       *[other] { $n } Geräte haben die Begrüßung gesehen und sind seither nicht hereingekommen.
    }
way-stuck-do = Ihre Seite sagt, was anzutippen ist. Wer es eilig hat, nimmt dort den zweiten Weg, an der Warnung vorbei.
way-stuck-all-do = Ihre Seite sagt, was anzutippen ist. Kommt gar kein Gerät weiter, ist vielleicht Port { $port } zu. { $open }

firewall-ufw = Die Firewall ufw ist eingeschaltet.
firewall-firewalld = Die Firewall firewalld läuft.
firewall-macos = Die Firewall von macOS ist eingeschaltet.
firewall-open-windows = Unter Windows: Einstellungen, Datenschutz und Sicherheit, Windows-Sicherheit, Firewall- und Netzwerkschutz, Zugriff von App durch Firewall zulassen; windrow für private und öffentliche Netze ankreuzen.
firewall-open-macos = Auf einem Mac: Systemeinstellungen, Netzwerk, Firewall, Optionen; windrow eingehende Verbindungen erlauben.
firewall-open-linux = Mit ufw: { $ufw }. Mit firewalld: { $firewalld }.

announce-none = Dieser Computer konnte seinen Namen nicht bekannt geben: Kein Netz trägt solche Nachrichten.
announce-failed = Dieser Computer konnte seinen Namen nicht bekannt geben: { $why }.
announce-do = Zu tun ist nichts: Muster und Adresse führen auch so hierher.
announce-instead = Ein anderer Computer in diesem Netz heißt schon { $wanted }, dieser heißt darum { $name }.
announce-instead-do = Zu tun ist nichts: Muster und Adresse führen zu diesem hier.

certificate-school-unusable = Es gibt ein neues Zertifikat, das sich nicht verwenden lässt: { $why }.
certificate-school-unusable-do = Bis die Dateien in Ordnung sind, gilt das vorige weiter.
certificate-own-unusable = Das Zertifikat ließ sich nicht erneuern: { $why }.
certificate-own-unusable-do = Solange gilt das vorige. Windrow neu starten, wenn Geräte es ablehnen.
certificate-school-ends = Das Zertifikat { $path } endet am { $date }.
certificate-school-ends-do = Wer es ausgestellt hat, um ein neues bitten; es gilt, sobald sich die Dateien ändern.
certificate-was-open = { $path } stand anderen Nutzern dieses Computers offen (Modus { $mode }). Jetzt nicht mehr.
certificate-was-open-do = Hat vielleicht jemand einen Schlüssel kopiert: das Verzeichnis entfernen, dann wird ein neues Zertifikat gemacht.
certificate-unlimited = Die Zertifizierungsstelle ist ohne Namensgrenzen gemacht: Ein Gerät, das ihr vertraut, vertraut ihr für jeden Namen.
certificate-limited = --no-name-constraints ändert nichts: Die Zertifizierungsstelle ist mit Namensgrenzen gemacht.
certificate-authority-ends = Die Zertifizierungsstelle dieses Computers endet am { $date }.
certificate-anew-do = Für eine neue { $path } entfernen; dann muss ihr jedes Gerät neu vertrauen.
certificate-other-name = Geräte, die dem Zertifikat dieses Computers vertrauen, kennen ihn nicht als { $name }: Er hieß anders, als seine Zertifizierungsstelle entstand.
certificate-other-name-do = Sie erreichen ihn über seine Adresse, und die steht im Muster. Soll auch der Name gelten: { $path } entfernen; dann muss jedes Gerät der neuen Stelle vertrauen.
