//! What `windrow serve` says in the terminal: what to open, and later what has changed. It must decide nothing.

use crate::reach::for_terminal;
use crate::serving::Running;
use crate::warning::Warning;

/// A terminal and what was said there.
pub(super) struct Terminal<'a> {
    running: &'a Running,
    shows_pattern: bool,
    /// What players were told to type.
    address: String,
    said: Vec<Warning>,
}

impl<'a> Terminal<'a> {
    /// One in which nothing was said yet.
    pub(super) fn new(running: &'a Running, shows_pattern: bool) -> Self {
        Self { running, shows_pattern, address: running.reach().short_address(), said: Vec::new() }
    }

    /// What to open, for the person at the keyboard.
    pub(super) fn welcome(&mut self) -> String {
        let (running, shows_pattern) = (self.running, self.shows_pattern);
        let (reach, code) = (running.reach(), &running.code);
        let link = reach.pattern_url(code);
        let conductor = match &running.first_link {
            Some(link) if running.key.is_none() => format!(
                "Conductor, on this computer, to choose a passphrase (good once, for an hour):\n    {link}"
            ),
            _ => format!("Conductor, on this computer:\n    {}", running.conductor_link()),
        };
        let mut text = format!(
            "Windrow is listening.\n\n  {conductor}\n\n  Players, in the same Wi-Fi: type {} and the code {code}\n",
            reach.short_address(),
        );
        let codes = running.codes();
        if codes.len() > 1 {
            text.push_str("  Each room has its own code:\n");
            for (section, code) in codes {
                text.push_str(&format!("    {code}  {section}\n"));
            }
        }
        if let Some(name) = reach.named_address() {
            text.push_str(&format!("  (many devices find {name} as well)\n"));
        }
        let pattern = shows_pattern.then(|| for_terminal(&link).ok()).flatten();
        text.push_str(if pattern.is_some() { "  or point a camera at this:\n" } else { "  or open:\n" });
        text.push_str(&format!("    {link}\n\n"));
        text.push_str(&pattern.unwrap_or_default());
        if let Some(authority) = &reach.authority {
            text.push_str(&format!(
                "  A device that comes for the first time is told how to trust this computer's certificate, {}:\n    \
                 {}\n\n",
                authority.common_name, authority.fingerprint
            ));
        } else if running.https_addr.is_none() && reach.doors.site.is_none() {
            text.push_str("  Without https only this computer can use its microphone.\n\n");
        }
        text.push_str(&self.new_warnings());
        text
    }

    /// What has changed since, if anything: another address, or something that is in the way.
    pub(super) fn news(&mut self) -> String {
        let address = self.running.reach().short_address();
        let mut text = String::new();
        if address != self.address {
            text.push_str(&format!(
                "\n  This computer has another address. Players: type {address} and the code on the conductor's screen.\n\n"
            ));
            self.address = address;
        }
        text.push_str(&self.new_warnings());
        text
    }

    /// Warnings that have not been printed since they last went away.
    fn new_warnings(&mut self) -> String {
        let warnings = self.running.reach().warnings();
        let is_new = |w: &&Warning| !self.said.iter().any(|said| without_figures(said) == without_figures(w));
        let new = warnings.iter().filter(is_new);
        let text = new.map(|warning| format!("  Note: {warning}\n\n")).collect();
        self.said = warnings;
        text
    }
}

/// A warning whose count alone has changed is no news.
fn without_figures(warning: &Warning) -> String {
    warning.to_string().chars().filter(|c| !c.is_ascii_digit()).collect()
}
