# The welcome page over plain http: what the device at hand must do so that it trusts this computer. What systems and browsers
# call things is from memory. $authority is the certificate's name, $name the computer's as browsers show it.

welcome-title = Welcome
welcome-reached = This device reaches the conductor’s computer.
welcome-not-trusted = It does not know yet that it may trust it.
welcome-trusted = It trusts it. Going on.
welcome-why = Windrow needs the microphone, and browsers give that to pages they trust only. Do this once, then the next rehearsals begin at once.
welcome-once = Trust it once: { $device }
welcome-come-back = Come back to this page.
welcome-looks = This page looks every few seconds whether it has worked, and then goes on by itself. If it has not half a minute after the last step, close the browser altogether and open this page again: some browsers look anew only then.
welcome-slow = The secure page at { $host } does not answer at all. Stay in the room’s Wi-Fi and switch mobile data off; if it stays like that, tell the conductor that a firewall may close that door.
welcome-other-way = The other way: nothing to install
welcome-other-way-what = Go on past your browser’s warning. It lasts some days, then the warning is back.
welcome-past = Tap <a class="press second" id="past" href="{ $url }">Go on past the warning</a>.
welcome-warning-means = What the warning means: everything is encrypted, but your browser cannot tell whose computer it is. Do this in your own rehearsal room’s Wi-Fi only, and never because a page of a bank or a shop asks for it.
welcome-what-title = What am I asked to trust?
welcome-what-limited = A certificate that the conductor’s computer made for itself. It can vouch for that computer’s own names and for addresses inside private networks (those that begin with 10, 172.16 to 172.31, 192.168, and fc or fd), and for nothing else: not for sites of the internet, your mail or your bank.
welcome-what-unlimited = A certificate authority that the conductor’s computer made for itself. It was made without limits, so whoever has its key could stand for any site towards your device. Take it away again when you leave the section, or take the other way.
welcome-fingerprint = Its fingerprint (SHA-256) must be the one on the poster:
welcome-as-text = The same certificate as text: <a href="/welcome/authority.pem">windrow.pem</a>.
welcome-away-title = How do I take it away again?
welcome-another = Another device?
welcome-no-script = This page can only go on by itself with JavaScript, and so can the rehearsal. Switch it on and load the page again.

## Kinds of devices.

device-apple = iPhone or iPad
device-android = Android
device-android-firefox = Firefox on Android
device-chromebook = Chromebook
device-windows = Windows
device-mac = Mac
device-linux = Linux

## iPhone and iPad.

apple-get = In Safari, tap <a class="press" href="/welcome/windrow.mobileconfig">Get the profile</a> and then “Allow”.
apple-install = Open Settings. Near the top tap “Profile Downloaded”, then “Install” (your passcode is asked for), and “Install” again.
apple-trust = Still in Settings: General, About, at the very bottom “Certificate Trust Settings”. Switch on <strong>{ $authority }</strong> and tap “Continue”.
profile-what = Lets this device trust the classroom computer, so that the page may use the microphone.
apple-past = Safari says “This Connection Is Not Private”: tap “Show Details”, then “visit this website”, then “Visit Website”.
apple-away = Settings, General, VPN &amp; Device Management: tap { $authority }, then “Remove Profile”.

## Android.

android-get = Tap <a class="press" href="/welcome/authority.crt">Get the certificate</a>. It is kept as windrow.crt under Downloads.
android-find = Open Settings and search there for “CA certificate” (it is under Security, Encryption and credentials, Install a certificate).
android-install = Tap “CA certificate”, “Install anyway”, and choose windrow.crt. The device may want its PIN.
android-past = Chrome says “Your connection is not private”: tap “Advanced”, then “Proceed to { $name } (unsafe)”.
android-away = Settings, Security, Encryption and credentials, Trusted credentials (or User credentials): under “User” tap { $authority }, then “Remove”.
android-firefox-chrome = Open this page’s address in Chrome instead and follow the steps there: Firefox on Android does not trust what the phone was told to trust.
android-firefox-stay = Or stay here and take the other way below.
android-firefox-past = Firefox warns of a security risk: tap “Advanced”, then “Accept the Risk and Continue”. It asks for the microphone each time it was closed.
android-firefox-away = Nothing was installed. Firefox forgets that it went past the warning when you delete its browsing data.

## Chromebook.

chromebook-get = Take <a class="press" href="/welcome/authority.crt">the certificate</a>. It is kept as windrow.crt under Downloads.
chromebook-open = Open a new tab and type <strong>chrome://certificate-manager</strong> (older ones: chrome://settings/certificates). Choose your certificates, then “Import” under trusted certificates, or “Authorities”.
chromebook-trust = Choose windrow.crt and tick that it is trusted for identifying websites.
chromebook-managed = A Chromebook that the school manages may not let you. Then the school’s administrator can add the certificate for all of them; until then take the other way.
chromebook-past = Chrome says “Your connection is not private”: click “Advanced”, then “Proceed to { $name } (unsafe)”. Some schools switch that off.
chromebook-away = chrome://certificate-manager: find { $authority } among your certificates and delete it.

## Windows.

windows-get = Take <a class="press" href="/welcome/authority.crt">the certificate</a> and open windrow.crt from Downloads.
windows-install = “Install Certificate”, “Current User”, “Place all certificates in the following store”: Browse to “Trusted Root Certification Authorities”, then “Next” and “Finish”.
windows-thumbprint = Windows shows a thumbprint and asks: “Yes”. Come back to this page.
windows-away = Press the Windows key, type certmgr.msc, open it: Trusted Root Certification Authorities, Certificates; delete { $authority }.

## Mac.

mac-get = Take <a class="press" href="/welcome/authority.crt">the certificate</a> and open windrow.crt from Downloads: Keychain Access takes it in, under “login”.
mac-trust = Find <strong>{ $authority }</strong> there, open it, unfold “Trust” and choose “Always Trust”. Close the window and give your password.
mac-past = Safari: “Show Details”, then “visit this website”. Chrome: “Advanced”, then “Proceed to { $name } (unsafe)”. Firefox: “Advanced”, then “Accept the Risk and Continue”.
mac-away = Keychain Access, “login”: delete { $authority }.

## Linux, and what is not known.

linux-get = Take <a class="press" href="/welcome/authority.crt">the certificate</a>.
linux-install = Chrome and Chromium: open <strong>chrome://certificate-manager</strong>, your certificates, and import windrow.crt as trusted. Firefox: Settings, search for “certificates”, View Certificates, Authorities, Import; tick “identify websites”.
computer-past = Chrome: “Advanced”, then “Proceed to { $name } (unsafe)”. Edge: “Advanced”, then “Continue to { $name } (unsafe)”. Firefox: “Advanced”, then “Accept the Risk and Continue”.
linux-away = Where you imported it: find { $authority } and delete it.
