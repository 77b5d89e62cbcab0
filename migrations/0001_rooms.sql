-- Rooms: who played, what was asked, and what came of it.
-- Times named _us are server time: microseconds since the server that held the session started.

-- A session is one room's record.
create table sessions (
    session_id text primary key,
    code text not null,
    section_name text not null,
    a4_hz double precision not null,
    -- Turns the server times of this session into dates.
    time_nought_unix_ms bigint not null,
    -- Null when the server ended without a goodbye; everything acknowledged is here all the same.
    ended_us bigint
);

-- A player of one session. The same person in another session is another row: names are typed, not proved.
create table players (
    player_id text primary key,
    session_id text not null references sessions (session_id) on delete cascade,
    chair integer not null,
    name text not null,
    -- Slug as on the wire, such as alto-sax.
    instrument text not null,
    -- Whether early and late are meant absolutely.
    calibrated integer not null
);

create index players_by_session on players (session_id);

-- What was asked. Span results point here by version.
create table scores (
    session_id text not null references sessions (session_id) on delete cascade,
    version bigint not null,
    -- JSON as on the wire: it is only ever read whole.
    score text not null,
    primary key (session_id, version)
);

-- Each pulse a device was sure of. The key is the device's own numbering, so that what it sends twice is kept once.
create table pulses (
    player_id text not null references players (player_id) on delete cascade,
    seq bigint not null,
    pulse_idx integer not null,
    time_us bigint not null,
    depth_db double precision not null,
    swing_cents double precision not null,
    -- Null where the tone was too broken to tell.
    mean_cents double precision,
    choked integer not null,
    primary key (player_id, seq, pulse_idx)
);

-- What a player did in one span of a score. Measures are null where there was nothing to measure.
create table span_results (
    player_id text not null references players (player_id) on delete cascade,
    seq bigint not null,
    score_version bigint not null,
    span_idx integer not null,
    n_pulses bigint not null,
    pulse_rate_hz double precision,
    depth_db_pp double precision,
    swing_cents_pp double precision,
    centre_cents double precision,
    evenness_cv double precision,
    timing_ms double precision,
    -- The word shown when the result came, such as drifting sharp.
    state text not null,
    primary key (player_id, seq)
);
