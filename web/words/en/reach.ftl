# What is likely between the phones and this computer, and with its certificate: what is odd, and (…-do) what to do. For the
# conductor on the room's page, and in English on the terminal. What systems call things is from memory.

way-own-network = a small router of your own without internet, or the hotspot of this computer or of a phone
way-local-only = Windrow listens for this computer alone, so no phone can reach it.
way-local-only-do = Start it without --http and --https, or with an address of this computer there.
way-plain-local = Plain http is open to this computer alone, so phones get no page that helps them to trust it.
way-plain-local-do = Start Windrow without --http, or with --http 0.0.0.0:8470.
way-no-network = This computer is in no network, so no phone can reach it.
way-no-network-do = Join the Wi-Fi that the phones are in, or open a network of your own: { $own }. Windrow notices.
way-public = This computer has a public address only ({ $addresses }), for which its own certificate cannot stand.
way-public-do = Use another network, such as { $own }, or a certificate of your school's with --certificate and --key.
way-not-private = Windrow does not listen on this computer's private addresses ({ $addresses }).
way-not-private-do = Start it with --http [::]:8470 --https [::]:8471.
way-firewall = { $firewall } It may keep phones out.
way-nobody = No device has reached this computer yet.
way-nobody-do = Let one phone open the address. If nothing comes, it may be in another Wi-Fi, or on mobile data; the Wi-Fi may keep its devices apart, as guest and school networks often do; or a firewall on this computer may be in the way. { $open } If the Wi-Fi is to blame, use { $own }.
way-several = This computer is in several networks. The pattern leads to { $address }.
way-several-do = If phones do not get there, try { $others }.
way-or = { $first } or { $last }
way-stuck =
    { $n ->
        [1] One device has seen the welcome page and not come in since.
       *[other] { $n } devices have seen the welcome page and not come in since.
    }
way-stuck-do = Their page says what to tap. Whoever is in a hurry takes the second way there, past the warning.
way-stuck-all-do = Their page says what to tap. If no device gets on at all, port { $port } may be closed. { $open }

firewall-ufw = The firewall ufw is switched on.
firewall-firewalld = The firewall firewalld is running.
firewall-macos = The firewall of macOS is switched on.
firewall-open-windows = On Windows: Settings, Privacy & security, Windows Security, Firewall & network protection, Allow an app through firewall; tick windrow for private and public networks.
firewall-open-macos = On a Mac: System Settings, Network, Firewall, Options; let windrow accept incoming connections.
firewall-open-linux = With ufw: { $ufw }. With firewalld: { $firewalld }.

announce-none = This computer could not announce its name: no network carries such messages.
announce-failed = This computer could not announce its name: { $why }.
announce-do = Nothing needs to be done: the pattern and the address lead here without it.
announce-instead = Another computer in this network is { $wanted } already, so this one is { $name }.
announce-instead-do = Nothing needs to be done: the pattern and the address lead to this one.

certificate-school-unusable = There is a new certificate that cannot be used: { $why }.
certificate-school-unusable-do = The one before is served until the files are in order.
certificate-own-unusable = The certificate could not be made anew: { $why }.
certificate-own-unusable-do = The one before is served meanwhile. Start Windrow again if devices refuse it.
certificate-school-ends = The certificate { $path } ends on { $date }.
certificate-school-ends-do = Ask whoever made it for a new one; it is taken up as soon as the files change.
certificate-was-open = { $path } was open to other users of this computer (mode { $mode }). It is yours alone now.
certificate-was-open-do = If somebody may have copied a key, remove the directory to have a new certificate made.
certificate-unlimited = The certificate authority was made without name constraints: a device that trusts it trusts it for every name.
certificate-limited = --no-name-constraints changes nothing: the certificate authority was made with constraints.
certificate-authority-ends = The certificate authority of this computer ends on { $date }.
certificate-anew-do = To have another one made, remove { $path }; each device must trust it anew then.
certificate-other-name = Devices that trust this computer's certificate do not know it as { $name }: it had another name when its certificate authority was made.
certificate-other-name-do = They reach it by its address, which is what the pattern holds. To have the name known as well, remove { $path }; each device must trust the new authority then.
