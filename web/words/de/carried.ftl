# Zu Hause Geübtes, das das Gerät eines Spielers abgibt: warum es nicht angenommen wurde.

carried-unreadable = diese Übezeit war nicht zu verstehen ({ $why }): Lade die Seite neu und gib sie dann noch einmal ab
carried-newer = diese Übezeit stammt von einem neueren Windrow als dem deiner Lehrkraft: Sie bleibt auf deinem Gerät, bis das andere auf demselben Stand ist
carried-older = diese Übezeit stammt von einem älteren Windrow und lässt sich nicht mehr lesen; was du von jetzt an spielst, schon
carried-too-big = diese Übezeit ist größer als { $most } MB und wurde nicht angenommen: Übe in kürzeren Stücken
carried-id = diese Übezeit hat keine gültige eigene Kennung: Lade die Seite neu und gib sie dann noch einmal ab
carried-future = diese Übezeit liegt in der Zukunft: Stell Datum und Uhrzeit deines Geräts und übe dann von Neuem
carried-past = diese Übezeit ist von vor 2020: Stell Datum und Uhrzeit deines Geräts und übe dann von Neuem
carried-tuning = die Stimmung dieser Übezeit gibt es nicht: A4 liegt zwischen 415 und 446 Hz
carried-plan = der Plan dieser Übezeit ist länger, als ein Plan sein darf
carried-long = diese Übezeit hat Zeiten außerhalb von { $hours } Stunden: So kann sie nicht gespielt worden sein
carried-nobody = in dieser Übezeit hat niemand gespielt
carried-several = diese Übezeit ist von mehreren Spielern, ein Gerät gibt aber nur die von einem ab
carried-score = die Musik dieser Übezeit lässt sich nicht spielen: Lade die Seite neu und gib sie dann noch einmal ab
carried-batch = diese Übezeit hat mehr Pulse auf einmal, als ein Gerät meldet
carried-many-runs = diese Übezeit hat { $n } Durchgänge, angenommen werden höchstens { $most }
carried-run = Durchgang { $n } dieser Übezeit passt nicht zusammen: So kann er nicht gespielt worden sein
carried-overlap = die Durchgänge { $n } und { $next } dieser Übezeit wurden zur selben Zeit gespielt: Das kann nicht sein
carried-same-time = deine Lehrkraft hat schon eine Übezeit dieses Geräts von derselben Zeit
carried-strange = der Computer deiner Lehrkraft kennt dieses Gerät noch nicht: Komm erst damit in eine Probe und gib dann ab, was du geübt hast
carried-failed = was du geübt hast, ließ sich nicht speichern: Es bleibt auf deinem Gerät, versuch es später noch einmal
