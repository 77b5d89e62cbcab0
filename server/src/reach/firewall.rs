//! Whether a firewall is likely in the way, as far as a program without rights can notice, and how one is opened on this
//! system. Only what is said of Linux was tried.

use std::process::Command;
use windrow_protocol::phrase::Phrase;

/// A sentence that names the firewall, where one is on.
pub(super) fn notice() -> Option<Phrase> {
    if cfg!(target_os = "linux") {
        if std::fs::read_to_string("/etc/ufw/ufw.conf").is_ok_and(|text| ufw_is_on(&text)) {
            return Some(Phrase::of("firewall-ufw"));
        }
        let firewalld = ["/run/firewalld.pid", "/run/firewalld/firewalld.pid"];
        if firewalld.iter().any(|path| std::path::Path::new(path).exists()) {
            return Some(Phrase::of("firewall-firewalld"));
        }
    }
    if cfg!(target_os = "macos") {
        let tool = "/usr/libexec/ApplicationFirewall/socketfilterfw";
        let said = Command::new(tool).arg("--getglobalstate").output().ok()?;
        if mac_is_on(&String::from_utf8_lossy(&said.stdout)) {
            return Some(Phrase::of("firewall-macos"));
        }
    }
    None
}

fn ufw_is_on(conf: &str) -> bool {
    conf.lines().any(|line| line.trim().eq_ignore_ascii_case("ENABLED=yes"))
}

fn mac_is_on(said: &str) -> bool {
    ["State = 1", "State = 2"].iter().any(|on| said.contains(on))
}

/// What to do so that devices come through to these ports, on this system.
pub(super) fn how_to_open(ports: &[u16]) -> Phrase {
    if cfg!(windows) {
        return Phrase::of("firewall-open-windows");
    }
    if cfg!(target_os = "macos") {
        return Phrase::of("firewall-open-macos");
    }
    let each = |before: &str| ports.iter().map(|port| format!("{before}{port}/tcp")).collect::<Vec<_>>();
    let ufw: Vec<Phrase> = each("sudo ufw allow ").into_iter().map(Phrase::from).collect();
    let firewalld = format!("sudo firewall-cmd {}", each("--add-port=").join(" "));
    Phrase::of("firewall-open-linux").with("ufw", ufw).with("firewalld", firewalld)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_firewall_is_noticed_by_what_it_says_of_itself() {
        assert!(ufw_is_on("# Set to yes to start on boot.\nENABLED=yes\nLOGLEVEL=low\n"));
        assert!(!ufw_is_on("#ENABLED=yes\nENABLED=no\n"));
        assert!(mac_is_on("Firewall is enabled. (State = 1)\n"));
        assert!(!mac_is_on("Firewall is disabled. (State = 0)\n"));
    }
}
