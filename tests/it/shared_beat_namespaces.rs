//! The beat between two network namespaces of Linux, with the kernel's own bad network (netem) on the link between them.
//! Needs root and the tools `ip` and `tc`; says what is missing where it cannot run.

use super::storage::serve_with;
use std::process::Command;

/// What a link between two namespaces needs; it goes when the test does.
struct Link {
    names: [String; 2],
}

/// Ends of the link: a network for documentation and benchmarks, which no machine uses (RFC 2544, 198.18.0.0/15).
const ADDRESSES: [&str; 2] = ["198.18.77.1", "198.18.77.2"];
/// Delays of either end, uneven: out 8 ± 8 ms, back 3 ± 2 ms, with the distribution netem has by default.
const DELAYS: [[&str; 2]; 2] = [["3ms", "2ms"], ["8ms", "8ms"]];

impl Drop for Link {
    fn drop(&mut self) {
        for name in &self.names {
            // Already gone where it was never made; the link goes with its end.
            let _ = run(&["ip", "netns", "del", name]);
        }
    }
}

/// Runs a system's tool.
fn run(words: &[&str]) -> Result<(), String> {
    let output = Command::new(words[0]).args(&words[1..]).output();
    let output = output.map_err(|error| format!("{} cannot be started: {error}", words[0]))?;
    if output.status.success() {
        return Ok(());
    }
    Err(format!("{}: {}", words.join(" "), String::from_utf8_lossy(&output.stderr).trim()))
}

/// Two namespaces and a link between them.
fn link() -> Result<Link, String> {
    let pid = std::process::id();
    let link = Link { names: [format!("windrow-a-{pid}"), format!("windrow-b-{pid}")] };
    let ends = [format!("wra{pid}"), format!("wrb{pid}")];
    for name in &link.names {
        run(&["ip", "netns", "add", name])?;
    }
    let [a, b] = &link.names;
    run(&["ip", "link", "add", &ends[0], "netns", a, "type", "veth", "peer", "name", &ends[1], "netns", b])?;
    for ((name, end), address) in link.names.iter().zip(&ends).zip(ADDRESSES) {
        run(&["ip", "-n", name, "address", "add", &format!("{address}/24"), "dev", end])?;
        run(&["ip", "-n", name, "link", "set", end, "up"])?;
        run(&["ip", "-n", name, "link", "set", "lo", "up"])?;
    }
    Ok(link)
}

/// Makes the link bad.
fn spoil(link: &Link) -> Result<(), String> {
    let pid = std::process::id();
    for ((name, end), [delay, jitter]) in link.names.iter().zip(["wra", "wrb"]).zip(DELAYS) {
        let end = format!("{end}{pid}");
        run(&["tc", "-n", name, "qdisc", "add", "dev", &end, "root", "netem", "delay", delay, jitter])?;
    }
    Ok(())
}

#[test]
fn devices_agree_across_two_network_namespaces() {
    let link = match link() {
        Ok(link) => link,
        Err(why) => {
            eprintln!("skipped, since no two networks can be made here: {why}");
            return;
        }
    };
    let jitter = match spoil(&link) {
        Ok(()) => "0",
        Err(why) => {
            eprintln!("the kernel cannot make a bad network here, so the proxy does: {why}");
            "10"
        }
    };
    let [a, b] = &link.names;
    let data_dir = std::env::temp_dir().join(format!("windrow-test-namespaces-{}", std::process::id()));
    let http = format!("{}:0", ADDRESSES[0]);
    let server = serve_with(
        Command::new("ip").args(["netns", "exec", a]),
        &data_dir,
        &["--http", &http, "--no-https"],
    );
    let output = Command::new("ip")
        .args(["netns", "exec", b, env!("CARGO_BIN_EXE_beat_spread"), "--json"])
        .args(["--devices", "4", "--seconds", "8", "--jitter-ms", jitter])
        .args(["--server", &server.conductor_link, "--code", &server.code])
        .output()
        .unwrap();
    drop(server);
    std::fs::remove_dir_all(data_dir).unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let figures: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    eprintln!("{figures}");
    // As in `shared_beat`: three times the design's 3 ms, for a busy machine.
    for name in ["pair_p95_ms", "after_cut_pair_p95_ms"] {
        assert!(figures[name].as_f64().unwrap() < 10.0, "{name}: {figures}");
    }
}
