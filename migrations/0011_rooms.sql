-- Several rooms in one server: each has its session, its door and its plan.

-- The rooms of the server that has these records open, or had them last, in the order in which they were opened. A server that was
-- killed leaves its rows; whether one runs is told by the lock on its file. A restore goes round these sessions.
create table rooms_served (
    nth integer primary key,
    session_id text not null unique,
    -- The join code, while the door is open.
    door_code text,
    door_seen_ms bigint
);

insert into rooms_served (session_id, door_code, door_seen_ms)
select serving.session_id, access_settings.door_code, access_settings.door_seen_ms
from serving left join access_settings;

drop table serving;
alter table access_settings drop column door_code;
alter table access_settings drop column door_seen_ms;

-- What a section's room plays from, for its next rehearsal.
create table taken_plans (
    section_name text primary key,
    text text not null
);

insert into taken_plans (section_name, text)
select coalesce((select section_name from sessions where kind = 'rehearsal'
                 order by time_nought_unix_ms desc, rowid desc limit 1), 'Our section'), text
from room_plan;

drop table room_plan;
