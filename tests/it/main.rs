//! The one binary of whole-system tests. What goes where: `room` rehearsals over sockets, `line` without them, `look` the style sheets, `hostile` bad input, `pages`
//! pages and files, `reach` how devices get in, `certificates` why they may trust, `access` who may do what, `measure`, `measure_mp3`, `measure_spans` and `measure_states` the program on sound files, `demo` and `demo_plan` the invented section and its
//! devices, `imaginary` the same section in a real room, `killed` a server that is killed, `faults` what else can break, `loaded` one with many players, `play` the program as a player, `plan` the program on plans, `room_check` what devices hear of each other, `results` what the section did, `report` rehearsals that are over, `records_exchange` the same as files, `shared_beat` one beat on all devices, `moments` when commands take effect, `started_again` a server that was stopped for a moment, `storage` what survives, `weight` what pages weigh on the wire, `wasm` the browser's ears, `browser` a real
//! one from end to end,
//! `peers` slow and dead devices,
//! `backup` and `restore` copies of the records, `migrated` records of earlier versions, `packed` pulses of sessions that are over, `erased` what erasing leaves,
//! `weeks` a player's page over weeks, `section_weeks` the section's,
//! `solo` the program as a player alone, `measure_session` recordings that are brought,
//! `carry_in` practice that devices hand in, `roster` who belongs to the section, `plans` plans as pages and scripts meet them, `sheet` a plan to print, `privacy` what is stored about a player, `words` the catalogue of texts, `tidy` the project's own rules, `supply` what comes in from others, `unsafe_code` what our own may not do, `packaging` what a package brings, `logs` what the log tells, `metrics` what is counted.

#![forbid(unsafe_code)]
#![expect(clippy::unwrap_used, reason = "all of it is tests")]

mod access;
mod backup;
mod browser;
mod carry_in;
mod certificates;
mod demo;
mod demo_plan;
mod erased;
mod faults;
mod hostile;
mod hostile_handshakes;
mod hostile_hosts;
mod hostile_http;
mod hostile_http2;
mod hostile_model;
mod hostile_names;
mod hostile_order;
mod hostile_rooms;
mod imaginary;
mod killed;
mod line;
mod loaded;
mod logs;
mod look;
mod measure;
mod measure_mp3;
mod measure_session;
mod measure_spans;
mod measure_states;
mod metrics;
mod migrated;
mod moments;
mod packaging;
mod packed;
mod pages;
mod peers;
mod plan;
mod plans;
mod play;
mod privacy;
mod reach;
mod records_exchange;
mod report;
mod restore;
mod results;
mod room;
mod room_check;
mod rooms;
mod roster;
mod section_weeks;
mod shared_beat;
#[cfg(target_os = "linux")]
mod shared_beat_namespaces;
mod sheet;
mod solo;
mod started_again;
mod storage;
mod supply;
mod tidy;
mod unsafe_code;
mod untranslated;
mod wasm;
mod weeks;
mod weight;
mod words;
