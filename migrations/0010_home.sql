-- The plan for practice at home. Times named _unix_ms are milliseconds since 1970.

-- One row, once a conductor has chosen one; until then players practise what the room plays from. The text as it was chosen: a player
-- who has it at home and one who gets it today have the same, whoever edits the plan meanwhile.
create table home_plan (
    home_plan_id integer primary key check (home_plan_id = 1),
    text text not null,
    set_unix_ms bigint not null
);
