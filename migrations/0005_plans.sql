-- Plans: a conductor's own ones, and the one the room plays from. The built-in ones are part of the program.
-- Times named _unix_ms are milliseconds since 1970: they outlive the server that wrote them.

-- A plan as its file has it. It is only ever read whole, and its format has a version of its own, so its text is kept.
create table plans (
    -- Short name in links and commands.
    name text primary key,
    -- As people read it; in the text as well, here for the list when the text cannot be read.
    title text not null,
    text text not null,
    -- Counts up with every change: two pages that edit one plan tell by it that they do.
    version bigint not null,
    changed_unix_ms bigint not null
);

-- One row: the plan the room plays from, so that a server that is started again goes on with it. The text as it was taken:
-- whoever edits or deletes the plan meanwhile changes nothing in the rehearsal.
create table room_plan (
    room_plan_id integer primary key check (room_plan_id = 1),
    text text not null
);
