-- Who may conduct. Times named _ms are Unix time: they outlive the server that wrote them.
-- Of every secret that was drawn by chance only its SHA-256 is here: 256 random bits need no slower hash.

-- What belongs to this data directory for good: one row.
create table access_settings (
    only_row integer primary key check (only_row = 1),
    -- Part of the cookie's name: browsers do not tell ports apart, and two servers may run on one computer.
    cookie_id text not null,
    -- How long a join code lasts after the last device was connected.
    code_lasts_min integer not null,
    -- Where the conductor's page was last served, so that `windrow passphrase` can print whole links.
    address text
);

-- The conductor's passphrase: one row, or none before the first.
create table passphrase (
    only_row integer primary key check (only_row = 1),
    -- argon2id as a PHC string: parameters and salt stand in it, so that later versions may raise them.
    hash text not null,
    set_ms bigint not null
);

-- Links that are good once. A row goes when it is used, so that two tabs cannot both use it.
create table access_links (
    link_id integer primary key,
    token_sha256 text not null unique,
    kind text not null check (kind in ('passphrase', 'assistant')),
    ends_ms bigint not null
);

-- Browsers in which somebody is signed in. "Session" is a room's record, so these are sign-ins.
create table sign_ins (
    -- For the page that ends one; never a secret.
    sign_in_id integer primary key,
    token_sha256 text not null unique,
    role text not null check (role in ('conductor', 'assistant')),
    -- An assistant's, as typed; empty for the conductor, who needs none.
    name text not null,
    made_ms bigint not null,
    -- Kept to the minute: a socket is in use all the time.
    used_ms bigint not null
);
