//! `windrow passphrase` while the server runs: both look into the same records.

use super::assistants::assert_signed_out;
use super::{PASSPHRASE, path_of, served, set_up, sign_in, stop};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use windrow_tests::Conductor;
use windrow_tests::request::{get, post};

fn run(data_dir: &Path, options: &[&str], typed: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    command.arg("passphrase").arg("--data").arg(data_dir).args(options);
    let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = piped.spawn().unwrap();
    // A program that asks nothing may have ended already.
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    child.wait_with_output().unwrap()
}

#[tokio::test]
async fn another_passphrase_is_noticed_by_the_server_that_runs() {
    let server = served().await;
    let addr = server.0.http_addr;
    let cookie = set_up(&server.0).await;
    let leading = Conductor::open_signed_in(&format!("ws://{addr}/ws/conductor"), &cookie).await;
    let short = run(&server.1, &[], "crook\n");
    assert!(!short.status.success());
    assert!(String::from_utf8_lossy(&short.stderr).contains("That has 5 signs"), "{short:?}");
    let done = run(&server.1, &[], "crook and bocal\n");
    assert!(done.status.success(), "{done:?}");
    assert_signed_out(leading).await;
    assert_eq!(get(addr, "/conduct", &[("Cookie", &cookie)]).await.status, 403);
    assert_eq!(sign_in(addr, PASSPHRASE, "").await.status, 403);
    assert_eq!(sign_in(addr, "crook and bocal", "").await.status, 303);
    stop(server).await;
}

#[tokio::test]
async fn a_link_takes_the_old_passphrase_away_and_sets_another() {
    let server = served().await;
    let addr = server.0.http_addr;
    let cookie = set_up(&server.0).await;
    let printed = run(&server.1, &["--link"], "");
    assert!(printed.status.success(), "{printed:?}");
    let text = String::from_utf8(printed.stdout).unwrap();
    let link = text.lines().find_map(|line| line.trim().strip_prefix("http://")).unwrap();
    assert!(link.starts_with(&format!("{addr}/first/")), "{link}");
    assert_eq!(get(addr, "/conduct", &[("Cookie", &cookie)]).await.status, 403);
    assert_eq!(sign_in(addr, PASSPHRASE, "").await.status, 403, "the old one is gone");
    let path = path_of(&format!("http://{link}"));
    let form = [("new", "crook and bocal"), ("again", "crook and bocal")];
    assert_eq!(post(addr, &path, "", &form).await.status, 303);
    assert_eq!(sign_in(addr, "crook and bocal", "").await.status, 303);
    stop(server).await;
}

#[test]
fn a_directory_without_records_is_named() {
    let output = run(Path::new("/nowhere-at-all"), &["--link"], "");
    let text = String::from_utf8_lossy(&output.stderr);
    assert!(!output.status.success() && text.contains("there are no records in /nowhere-at-all"), "{text}");
}
