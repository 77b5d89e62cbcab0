-- Records over weeks: what was played, what it came to, and what each player reached.
-- Times named _us are server time of their session; JSON is as on the wire and only ever read whole.

-- A rehearsal, a player's practice at home, or recordings that were measured later.
alter table sessions add column kind text not null default 'rehearsal' check (kind in ('rehearsal', 'practice', 'recording'));
-- A server that is started again goes on with the same rehearsal: its sessions share this. Null: the session is one by itself.
alter table sessions add column rehearsal_id text;
-- Named where it was recorded, so that it is never taken in twice. Null for what was recorded here.
alter table sessions add column origin_id text;
-- 1: made up, to show how things are.
alter table sessions add column invented integer not null default 0;

create unique index sessions_by_origin on sessions (origin_id) where origin_id is not null;
create index sessions_by_section on sessions (section_name, time_nought_unix_ms);
create index sessions_by_rehearsal on sessions (rehearsal_id);

-- Plans as they were taken, each as its file has it.
create table session_plans (
    session_id text not null references sessions (session_id) on delete cascade,
    taken_us bigint not null,
    title text not null,
    text text not null,
    primary key (session_id, taken_us)
);

-- What room checks found, as JSON.
create table room_checks (
    session_id text not null references sessions (session_id) on delete cascade,
    checked_us bigint not null,
    found text not null,
    primary key (session_id, checked_us)
);

-- A time through an exercise; a run that is being played is written again and again until it is final.
create table runs (
    session_id text not null references sessions (session_id) on delete cascade,
    -- From 1, in the order of playing.
    number integer not null,
    began_us bigint not null,
    -- Until when it was played, as far as is known.
    ended_us bigint not null,
    -- 0 where the server ended meanwhile.
    is_over integer not null,
    -- Place of the exercise in its plan, from 1.
    exercise integer not null,
    -- JSON: its name, the titles of its parts, what the section came to, the same at a glance without the lanes, its part of the
    -- score.
    name text not null,
    spans text not null,
    section text not null,
    glance text not null,
    score text not null,
    -- The section's figures once more, for whoever looks over weeks.
    n_judged integer not null,
    n_matched integer not null,
    matched double precision,
    together double precision,
    spread_ms double precision,
    mean_ms double precision,
    primary key (session_id, number)
);

-- One player's part of a run.
create table run_players (
    player_id text not null references players (player_id) on delete cascade,
    session_id text not null,
    number integer not null,
    -- JSON: what it came to, and the lane at a glance (null where there is none).
    told text not null,
    glance text,
    -- Constant offset of a device whose delay is not known.
    left_out_ms double precision not null,
    -- Rows of numbers in protocol buffers' way; see room/results/kept.
    pulses blob not null,
    centres blob not null,
    states blob not null,
    primary key (player_id, number),
    foreign key (session_id, number) references runs (session_id, number) on delete cascade
);

create index run_players_by_run on run_players (session_id, number);

-- What a player came to in one part of a run: one tempo and subdivision. Measures are null where there was nothing to measure.
create table stretches (
    player_id text not null references players (player_id) on delete cascade,
    number integer not null,
    part_idx integer not null,
    session_id text not null,
    began_us bigint not null,
    target text not null check (target in ('straight', 'pulses', 'free')),
    -- Pulses a beat, where pulses were asked for.
    per_beat integer,
    bpm double precision not null,
    bpm_to double precision,
    -- Whether the measure was only felt.
    loosely integer not null,
    bars double precision not null,
    asked_s double precision not null,
    judged_s double precision not null,
    -- Matched for four bars at a steady tempo.
    held integer not null,
    state text not null,
    trusted double precision not null,
    matched double precision,
    n_pulses bigint not null,
    pulse_rate_hz double precision,
    pulses_per_beat double precision,
    timing_ms double precision,
    timing_spread_ms double precision,
    depth_db_pp double precision,
    swing_cents_pp double precision,
    centre_cents double precision,
    drift_cents double precision,
    from_straight_cents double precision,
    evenness_cv double precision,
    primary key (player_id, number, part_idx),
    foreign key (session_id, number) references runs (session_id, number) on delete cascade
);

create index stretches_by_run on stretches (session_id, number);
