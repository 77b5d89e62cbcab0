-- The room's door as it was last seen, so that a server that is started again soon goes on with the same rehearsal: the
-- code is on the wall, in the pages of the players and on a printed poster. It is shown to everybody in the room, so it is
-- no secret that would have to be hashed. Null where the door was closed.
alter table access_settings add column door_code text;
-- Unix time, kept to the minute.
alter table access_settings add column door_seen_ms bigint;
