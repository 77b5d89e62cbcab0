//! A server that is killed in the middle of a span, started again and killed again: what was acknowledged is there, once.
//! `--bin faults` does the same many times.

use std::path::Path;
use windrow_tests::killing::{Killing, run};
use windrow_tests::new_data_dir;

#[tokio::test]
async fn what_was_acknowledged_is_there_once_however_often_the_server_is_killed() {
    let program = Path::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    let data_dir = new_data_dir();
    let killing = Killing { n_kills: 6, n_players: 3, n_servers: 2, seed: 4 };
    let found = run(program, &data_dir, killing, |_, _| {}).await;
    std::fs::remove_dir_all(&data_dir).unwrap();
    assert!(found.is_well(), "{found:#?}");
    assert!(found.n_kills >= 6, "{found:#?}");
    assert!(found.n_pulses_acknowledged > 30, "{found:#?}");
}
