# Short messages on a page of their own: what is the matter, and what to do.

message-code-title = This code leads nowhere
message-code = There is no rehearsal with the code { $code }. Compare it with the one on the conductor's screen: six signs, which change with every rehearsal.
message-conductor-only-title = This page is the conductor's
message-conductor-only = Sign in at /sign-in with the conductor's passphrase. Players join at the address on the conductor's screen.
message-not-set-up-title = No passphrase is set yet
message-not-set-up = Open the link that Windrow printed when it started, on the computer on which it runs: there the conductor chooses a passphrase. The link is good once and for an hour; “windrow passphrase --link” prints another. Players join at the address on the conductor's screen.
message-unreadable-title = That could not be kept
message-unreadable = Windrow's records could not be read or written. Look whether the disk of the computer on which it runs is full, then try again.
message-malformed-title = That did not work
message-malformed = What was sent could not be understood. Go back, load the page again, and try once more.
message-assistant-title = This is for the conductor alone
message-assistant = As an assistant you lead the rehearsal. Who may do what, and erasing what is kept, is for the conductor.
message-nothing-title = Nothing here
message-nothing = There is no page at this address. Players begin at the address on the conductor's screen.
message-wait-title = Wait a moment
message-wait-codes =
    { $s ->
        [1] Too many wrong codes came from here. Wait a second, then try again.
       *[other] Too many wrong codes came from here. Wait { $s } seconds, then try again.
    }
message-wait-links =
    { $s ->
        [1] Too many wrong links came from here. Wait a second, then try again.
       *[other] Too many wrong links came from here. Wait { $s } seconds, then try again.
    }
message-wait-devices =
    { $s ->
        [1] too many strange devices asked from here: wait a second
       *[other] too many strange devices asked from here: wait { $s } seconds
    }
message-link-title = This link is used up or too old
message-link-passphrase = Such a link is good once and for an hour. If the passphrase has been set, sign in at /sign-in. If not, type “windrow passphrase --link” in a terminal on the computer on which Windrow runs: it prints another.
message-link-invitation = An invitation is good once and for a day. Ask the conductor for another; if you accepted it on this device, open the conductor's page.
message-line-title = Not on this connection
message-line = Others on this Wi-Fi could read what you type here. Use the computer on which Windrow runs.
message-line-secure = Others on this Wi-Fi could read what you type here. Open { $url } instead, or use the computer on which Windrow runs.
message-no-certificate-title = No certificate to install
message-no-certificate = This server has a certificate that devices trust already, or none at all. Begin at the address on the conductor's screen.
message-failed-title = That did not work
message-unmade = The page could not be made. Reload it.
message-pattern-unmade = The pattern could not be made. Use the address and the code.
message-stopping = Windrow is being closed. Try again in a minute.
message-too-many-connections-title = Too many connections
message-too-many-connections = The computer that runs the rehearsal holds as many connections as it can. Close pages of it that nobody needs, wait a minute and load this one again. On that computer itself every page still opens.
message-too-slow = What you sent came so slowly that it was given up; nothing of it was kept. Try again where the Wi-Fi is better.
message-elsewhere = From another machine this is open over https alone. Begin at the address on the conductor's screen.
message-https-only = over https alone
message-other-address = this page belongs to another address
message-stranger = nothing is known of this device
