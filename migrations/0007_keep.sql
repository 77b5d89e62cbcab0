-- Keeping the records: pulses of sessions that are over lie close together, and what was erased stays erased when an older
-- backup is restored.

-- Every pulse of a player, once the session is over: a row each takes twenty times as much.
create table pulse_packs (
    player_id text primary key references players (player_id) on delete cascade,
    -- To count without opening the pack.
    n_pulses bigint not null,
    -- The highest number the device gave to a batch of them: what it sends again is known by it.
    last_seq bigint not null,
    -- As store/pack.rs writes it; its first byte says in which form.
    pulses blob not null
);

-- What was erased on this computer: SHA-256, hex, of ids of people, devices and players. Ids are drawn by chance, so this
-- says about nobody anything; a backup that is older than the erasing brings them back, and then they go again.
create table erasures (
    erased_sha256 text primary key,
    erased_unix_ms bigint not null
);

-- One row: the session of the server that has these records open. A server that was killed leaves its row; whether one runs
-- is told by the lock on its file. A restore goes round this session.
create table serving (
    only_row integer primary key check (only_row = 1),
    session_id text not null
);
