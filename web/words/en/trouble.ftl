# What of the server fails during a rehearsal, as the conductor reads it: what is wrong, what goes on, what to do.

trouble-devices-keep = The rehearsal goes on, and the players’ devices keep what is played: about seven minutes of it, then the oldest is lost.
trouble-records-full = Nothing can be written to the records: the disk of this computer is full. { $devices } Make room on the disk; everything then comes in by itself.
trouble-records-read-only = Nothing can be written to the records: the disk or the folder with the records can only be read. { $devices } Make it writable again; everything then comes in by itself.
trouble-records-locked = Nothing can be written to the records: another program is using the file. { $devices } End that program, such as a backup, a synchronisation or a database viewer; everything then comes in by itself.
trouble-records-missing = The file of the records is not at its place any more. { $devices } Put the file back, or stop Windrow and start it again.
trouble-records-replaced = Another file was put in the place of the records while Windrow was running, so nothing is written now. { $devices } Stop Windrow and start it again.
trouble-records-handles = Nothing can be written to the records: Windrow has as many files and connections open as this computer allows. { $devices } Close pages that nobody needs.
trouble-records-disk = Nothing can be written to the records: the disk gives errors. { $devices } Keep a copy of the records on another disk as soon as you can.
trouble-records-damaged = Nothing can be written to the records: the file is damaged. { $devices } After the rehearsal, bring the last good copy back.
trouble-records-other = Nothing can be written to the records. { $devices } What Windrow prints in its window says more.
trouble-records-brought-back = The file of the records was removed while Windrow was running. Everything that was in it is back at its place. To delete records, use the roster page, or stop Windrow first.
trouble-connections = Nobody else gets in: Windrow has as many connections open as this computer allows. Whoever is in goes on. Close pages that nobody needs; whoever waits then comes in by itself.
trouble-room-anew = Something in Windrow went wrong, and the room began anew. Players come back by themselves, and what was played so far is kept. Start the music again.
trouble-slept = This computer was asleep for { $time }. The music stood still meanwhile; the devices find the beat again by themselves. Keep this computer from sleeping during a rehearsal.
trouble-stood-still = This computer stood still for { $time }: it was asleep, or too busy. The music went on by the clock; the devices find the beat again by themselves.
trouble-seconds = { $n } seconds
trouble-minutes = { $n } minutes
