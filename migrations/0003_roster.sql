-- Rosters: who belongs to a section, whose device is whose, and how long records are kept.
-- Times named _unix_ms are milliseconds since 1970: they outlive the server that wrote them.

-- A section or ensemble; one of them is in the room at a time.
create table sections (
    section_id text primary key,
    -- Chosen by it at a start, so it is there once.
    name text not null unique
);

-- Somebody in a section's list. Real names are never demanded: the name is what the list says.
create table people (
    person_id text primary key,
    section_id text not null references sections (section_id) on delete cascade,
    name text not null,
    -- Slug as on the wire, such as alto-sax.
    instrument text not null,
    -- As typed, such as "flute 2"; empty where the room makes one.
    part text not null,
    -- Order in the section; numbers may be missing.
    chair bigint not null,
    -- Null while in the list. Removing can be undone; the records stay until they are erased.
    removed_unix_ms bigint
);

create index people_by_section on people (section_id, chair);

-- A player's device, known again next week. A device without a person is that of a nickname.
create table devices (
    -- SHA-256 of the token that the device keeps, hex: who reads this file cannot sign in with it.
    token_sha256 text primary key,
    person_id text references people (person_id) on delete set null,
    -- Whether it is certain to be that person's: their first device, or one the conductor confirmed. Any other sees and
    -- erases only what it recorded itself, since a name in a list can be tapped by anybody.
    confirmed integer not null,
    seen_unix_ms bigint not null
);

create index devices_by_person on devices (person_id);

-- Who of a list a session's player was; null for a nickname, and once the person is erased.
alter table players add column person_id text references people (person_id) on delete set null;
-- The device that was played with: a nickname's records are found by it. Null for sessions before there were devices.
alter table players add column token_sha256 text;

create index players_by_person on players (person_id);
create index players_by_device on players (token_sha256);

-- One row: days after which a session is erased, where the conductor has chosen.
create table retention (
    retention_id integer primary key check (retention_id = 1),
    keep_days bigint not null
);
