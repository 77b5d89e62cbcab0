# Practice from home, handed in by a player's device: why it could not be taken.

carried-unreadable = this practice could not be understood ({ $why }): load the page again, then hand it in once more
carried-newer = this practice was made by a newer Windrow than your teacher's: it stays on your device until theirs is brought up to date
carried-older = this practice was made by an older Windrow and can no longer be read; what you play from now on can
carried-too-big = this practice is larger than { $most } MB and was not taken: practise in shorter pieces
carried-id = this practice has no proper mark of its own: load the page again, then hand it in once more
carried-future = this practice lies in the future: set your device's date and time, then practise anew
carried-past = this practice is dated before 2020: set your device's date and time, then practise anew
carried-tuning = the tuning of this practice is none: A4 must be from 415 to 446 Hz
carried-plan = the plan of this practice is longer than a plan may be
carried-long = this practice has times outside of { $hours } hours: it cannot have been played like that
carried-nobody = nobody played in this practice
carried-several = this practice is of several players, but a device hands in those of one
carried-score = the music of this practice cannot be played: load the page again, then hand it in once more
carried-batch = this practice has more pulses at once than a device tells of
carried-many-runs = this practice has { $n } exercises, but at most { $most } are taken
carried-run = exercise { $n } of this practice does not fit together: it cannot have been played like that
carried-overlap = exercises { $n } and { $next } of this practice were played at the same time: that cannot be
carried-same-time = your teacher already has a practice of this device from the same time
carried-strange = your teacher's computer does not know this device yet: join a rehearsal with it first, then hand in what you practised
carried-failed = your practice could not be written down: it stays on your device, try again later
